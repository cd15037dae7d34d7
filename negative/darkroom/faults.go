package darkroom

import (
	"math"
	"math/rand/v2"
)

// Faults are what should not be there: how many a square decimetre of print,
// on average. The zero value is a clean print.
type Faults struct {
	Dust     float64 // specks between film and paper: light spots
	Hairs    float64 // light lines
	Pinholes float64 // holes in the ink: dark specks
	Bronzed  float64 // spots where the darkest tones turn back
	// Nozzles is how many lines across the film a blocked nozzle of the printer
	// leaves without most of their ink.
	Nozzles int
}

// blocked takes ink out of the lines of blocked nozzles: rows of the film.
func (f Faults) blocked(plane []uint16, width, height int, pixelMM float64, rng *rand.Rand, touched func(row int)) {
	thick := max(int(math.Round(0.1/pixelMM)), 1)
	for range f.Nozzles {
		first := rng.IntN(max(height-thick, 1))
		for y := first; y < min(first+thick, height); y++ {
			row := plane[y*width : (y+1)*width]
			for x := range row {
				row[x] = uint16(uint32(row[x]) * 2 / 5)
			}
			touched(y)
		}
	}
}

// count returns how many faults of a kind lie on a print.
func count(rng *rand.Rand, perDM2 float64, p *ContactPrint) int {
	mean := perDM2 * p.WidthMM() * p.HeightMM() / 1e4
	return int(mean + rng.Float64())
}

// shade puts dust, hairs and pinholes into the light.
func (f Faults) shade(p *ContactPrint, rng *rand.Rand) {
	for range count(rng, f.Dust, p) {
		x, y := p.anywhere(rng)
		through := float32(between(rng, 0.02, 0.5))
		p.disc(x, y, between(rng, 0.08, 0.5), func(i int, _ float64) { p.L[i] *= through })
	}
	for range count(rng, f.Pinholes, p) {
		x, y := p.anywhere(rng)
		p.disc(x, y, between(rng, 0.05, 0.2), func(i int, _ float64) { p.L[i] = 1 })
	}
	for range count(rng, f.Hairs, p) {
		f.hair(p, rng)
	}
}

// hair lays one hair: a line that wanders.
func (f Faults) hair(p *ContactPrint, rng *rand.Rand) {
	x, y := p.anywhere(rng)
	direction, bend := between(rng, 0, 2*math.Pi), between(rng, -0.08, 0.08)
	thick, through := between(rng, 0.04, 0.1), float32(between(rng, 0.1, 0.5))
	const stepMM = 0.1
	for range 30 + rng.IntN(90) {
		p.disc(x, y, thick, func(i int, _ float64) { p.L[i] = min(p.L[i], through) })
		x += stepMM * math.Cos(direction)
		y += stepMM * math.Sin(direction)
		direction += bend
		bend += between(rng, -0.03, 0.03)
	}
}

// bronze lifts dark tones in spots, on the print as seen.
func (f Faults) bronze(p *ContactPrint, rng *rand.Rand) {
	const lift, dark = 9, 55 // L*, at the darkest; L* from which nothing bronzes. Working values of ours.
	for range count(rng, f.Bronzed, p) {
		x, y := p.anywhere(rng)
		p.disc(x, y, between(rng, 0.5, 2), func(i int, share float64) {
			depth := max(0, 1-float64(p.L[i])/dark)
			p.L[i] += float32(lift * depth * (1 - share*share))
		})
	}
}

// anywhere returns a random place on the sheet, as the print's places go.
func (p *ContactPrint) anywhere(rng *rand.Rand) (xMM, yMM float64) {
	return between(rng, 0, p.WidthMM()) - p.BeyondMM, between(rng, 0, p.HeightMM()) - p.BeyondMM
}

// disc calls do for each pixel within radiusMM of a place, with its distance
// as a share of the radius, and notes it as touched by a fault, as far as
// light spreads. At least the pixel at the place is taken.
func (p *ContactPrint) disc(xMM, yMM, radiusMM float64, do func(i int, share float64)) {
	cx, cy := p.pixel(xMM, yMM)
	r := max(radiusMM*p.PPI/25.4, 0.6)
	reach := r + p.spread
	for y := max(int(cy-reach), 0); y < min(int(cy+reach)+1, p.Height); y++ {
		for x := max(int(cx-reach), 0); x < min(int(cx+reach)+1, p.Width); x++ {
			away := math.Hypot(float64(x)+0.5-cx, float64(y)+0.5-cy)
			if away > reach {
				continue
			}
			p.touched[y*p.Width+x] = true
			if away <= r {
				do(y*p.Width+x, away/r)
			}
		}
	}
}
