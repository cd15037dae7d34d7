package darkroom

import (
	"math"

	"actinic/process/density"
)

// scanLight is the light that comes off the glass: luminance 0 to 1.
type scanLight struct {
	print  *ContactPrint // for its grid only
	y      Picture       // luminance of the print, blurred for the scan's pixels
	lid    float32
	gain   *field // over the bed
	flare  *field // light added, nil for none
	direct float32
	dust   []speck
}

// speck is dust on the glass, in pixels of the scan. It is grey: lighter than
// black and darker than white.
type speck struct{ x, y, radius float64 }

const (
	speckLight = 0.25 // luminance of dust; a working value of ours
	nearMM     = 6    // how far the near flare spreads, as a standard deviation; likewise
	flareStep  = 2    // mm between the knots that flare is worked out at
)

func newScanLight(p *ContactPrint, o ScannerOptions, place *placement) scanLight {
	s := scanLight{print: p, lid: float32(o.Lid.Reflectance()), direct: float32(1 - o.Flare - o.NearFlare)}
	s.y = Picture{Width: p.Width, Height: p.Height, L: make([]float32, len(p.L))}
	eachRow(p.Height, func(y int) {
		for i := y * p.Width; i < (y+1)*p.Width; i++ {
			s.y.L[i] = float32(density.Lightness(p.L[i]).Reflectance())
		}
	})
	blur(&s.y, apertureSigma(p.PPI, o))
	s.gain = newLighting(o, place)
	if o.Flare != 0 || o.NearFlare != 0 {
		s.flare = s.newFlare(o, place)
	}
	s.dust = newDust(o, place)
	return s
}

// apertureSigma is the blur, in pixels of the print, that a pixel of the scan
// sees through: its own square (whose variance is a twelfth of its side
// squared) and the lens, and never so little that fine lines would alias.
func apertureSigma(printPPI float64, o ScannerOptions) float64 {
	side := printPPI / o.PPI
	lens := o.BlurMM * printPPI / 25.4
	sigma := math.Sqrt(side*side/12 + lens*lens)
	if sigma = max(sigma, 0.4*side); sigma < 0.25 {
		return 0 // the grid of the print itself is coarser
	}
	return sigma
}

// newLighting is 1 and a few per cent: weaker at the ends of the lamp, with a
// slow wave along the way of the carriage.
func newLighting(o ScannerOptions, place *placement) *field {
	if o.Lighting == 0 {
		return nil
	}
	rng := Random(o.Seed, 3201)
	middle, fall := place.bedWidthMM*between(rng, 0.35, 0.65), between(rng, 0.5, 1)
	along := newWave(rng, math.Pi/2, place.bedHeightMM*between(rng, 0.8, 2), between(rng, 0.2, 0.7))
	tilt := between(rng, -0.5, 0.5) / place.bedWidthMM
	f := newField(place.bedWidthMM, place.bedHeightMM, 2, func(x, y float64) float64 {
		end := math.Abs(x-middle) / place.bedWidthMM * 2
		return along.at(x, y) + tilt*x - fall*end*end*end
	})
	f.level(0, o.Lighting)
	return f
}

// newFlare is the light that glass, lens and lid throw where it does not
// belong: a share of the mean of the bed, and a share of what lies near.
func (s *scanLight) newFlare(o ScannerOptions, place *placement) *field {
	f := newField(place.bedWidthMM, place.bedHeightMM, flareStep, func(x, y float64) float64 {
		px, py := s.print.pixel(place.onPrint(x, y))
		return float64(s.at(float32(px-0.5), float32(py-0.5)))
	})
	near := Picture{Width: f.across, Height: f.down, L: make([]float32, len(f.knots))}
	mean := 0.0
	for i, v := range f.knots {
		near.L[i] = float32(v)
		mean += v / float64(len(f.knots))
	}
	blur(&near, nearMM/flareStep)
	for i, v := range near.L {
		f.knots[i] = float64(o.Flare*mean) + float64(o.NearFlare*float64(v))
	}
	return f
}

func newDust(o ScannerOptions, place *placement) []speck {
	rng := Random(o.Seed, 3301)
	dust := make([]speck, o.Dust)
	for i := range dust {
		dust[i] = speck{
			x:      between(rng, 0, place.bedWidthMM) / place.pixelMM,
			y:      between(rng, 0, place.bedHeightMM) / place.pixelMM,
			radius: between(rng, 0.05, 0.35) / place.pixelMM,
		}
	}
	return dust
}

// scanLine is the room that one row needs.
type scanLine struct {
	y, atX, atY  []float32
	gain, flared []float64
}

func newScanLine(width int) *scanLine {
	return &scanLine{y: make([]float32, width), atX: make([]float32, width), atY: make([]float32, width),
		gain: make([]float64, width), flared: make([]float64, width)}
}

// row puts the luminance of one row of the scan into line.y.
func (s *scanLight) row(line *scanLine, row int, place *placement) {
	place.row(line.atX, line.atY, row, s.print)
	for i := range line.y {
		line.y[i] = s.at(line.atX[i], line.atY[i])
	}
	mm := place.pixelMM
	if s.flare != nil {
		s.flare.row(line.flared, mm/2, mm, (float64(row)+0.5)*mm)
		for i, v := range line.flared {
			line.y[i] = s.direct*line.y[i] + float32(v)
		}
	}
	s.settle(line.y, row)
	if s.gain != nil {
		s.gain.row(line.gain, mm/2, mm, (float64(row)+0.5)*mm)
		for i, v := range line.gain {
			line.y[i] *= float32(1 + v)
		}
	}
}

// at returns the luminance at a place in pixels of the print, straight between
// the four around it.
func (s *scanLight) at(x, y float32) float32 {
	if !(x > -1 && y > -1 && x < float32(s.y.Width) && y < float32(s.y.Height)) {
		return s.lid
	}
	i, j := int(x+1)-1, int(y+1)-1
	u, v := x-float32(i), y-float32(j)
	if i < 0 || j < 0 || i+1 >= s.y.Width || j+1 >= s.y.Height {
		top := s.pixel(i, j) + u*(s.pixel(i+1, j)-s.pixel(i, j))
		bottom := s.pixel(i, j+1) + u*(s.pixel(i+1, j+1)-s.pixel(i, j+1))
		return top + v*(bottom-top)
	}
	above := s.y.L[j*s.y.Width+i:]
	below := above[s.y.Width:]
	top := above[0] + u*(above[1]-above[0])
	bottom := below[0] + u*(below[1]-below[0])
	return top + v*(bottom-top)
}

func (s *scanLight) pixel(x, y int) float32 {
	if x < 0 || y < 0 || x >= s.y.Width || y >= s.y.Height {
		return s.lid
	}
	return s.y.L[y*s.y.Width+x]
}

// settle lays the dust on a row, with soft rims.
func (s *scanLight) settle(y []float32, row int) {
	for _, d := range s.dust {
		dy := float64(row) + 0.5 - d.y
		if math.Abs(dy) > d.radius+1 {
			continue
		}
		reach := d.radius + 1
		for x := max(int(d.x-reach), 0); x < min(int(d.x+reach)+1, len(y)); x++ {
			away := math.Hypot(float64(x)+0.5-d.x, dy)
			share := float32(min(max(d.radius+0.5-away, 0), 1))
			y[x] += share * (speckLight - y[x])
		}
	}
}
