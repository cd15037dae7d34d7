package scan

import (
	"math"
	"slices"

	"actinic/negative/chart"

	"gonum.org/v1/gonum/mat"
)

// sighting is a mark measured in the plane itself.
type sighting struct {
	at    Point   // its centre, plane pixels
	clear float64 // root of Y of clear film about it
	swing float64 // root of Y from clear film to ink: positive where ink prints light
	whole float64 // share of the mark that looks like one, 0 to 1
	like  float64 // correlation of that share with a mark, 0 to 1
}

const (
	samplesAcross = 40   // areas of a mark's width whose means are compared
	edgeShare     = 0.09 // of the radius: how far a printed edge is blurred each way
	comparedShare = 1.22 // of the radius: how far out a mark is compared; MarkClear less a blur
	centreRounds  = 12
	longestStep   = 0.12 // of the radius, in one round
	farthestStep  = 0.6  // of the radius, from where the mark was seen first
)

// sample is the mean root of a small square of the plane, at its place on the
// page relative to a mark, in shares of the mark's radius.
type sample struct{ x, y, root float64 }

// measureMark finds the centre of a mark that lies at about start. around is the
// straight-line map there. It is the least-squares fit of a mark on a sloping
// ground, in which what is not like a mark (brush edges, dust) loses its weight.
// It reports false where that leads away or to nothing.
func (p *Plane) measureMark(around Affine, m chart.Mark, start Point) (sighting, bool) {
	radiusMM := m.DiameterMM / 2
	samples := p.samplesAbout(around, m, start)
	x, y := around.ToPage(start)
	c := Point{(x - m.XMM) / radiusMM, (y - m.YMM) / radiusMM}
	first, fit := c, markFit{scale: math.Inf(1)}
	for range centreRounds {
		step, ok := fit.improve(samples, c)
		if !ok || math.Hypot(c.X+step.X-first.X, c.Y+step.Y-first.Y) > farthestStep {
			return sighting{}, false
		}
		c.X, c.Y = c.X+step.X, c.Y+step.Y
		if math.Hypot(step.X, step.Y) < 1e-5 {
			break
		}
	}
	at := around.ToPlane(m.XMM+float64(c.X*radiusMM), m.YMM+float64(c.Y*radiusMM))
	return sighting{at: at, clear: fit.ground, swing: fit.swing, whole: fit.whole, like: fit.like}, true
}

// samplesAbout cuts the plane about a mark into squares and returns their means.
func (p *Plane) samplesAbout(around Affine, m chart.Mark, start Point) []sample {
	radiusMM := m.DiameterMM / 2
	side := max(1, int(around.scale()*m.DiameterMM/samplesAcross+0.5))
	half := int(around.scale()*radiusMM*1.7)/side + 1
	var samples []sample
	for i := -half; i <= half; i++ {
		for j := -half; j <= half; j++ {
			x0, y0 := int(start.X)+j*side, int(start.Y)+i*side
			if x0 < 0 || y0 < 0 || x0+side > p.Width || y0+side > p.Height {
				continue
			}
			x, y := around.ToPage(Point{float64(x0) + float64(side)/2, float64(y0) + float64(side)/2})
			samples = append(samples, sample{(x - m.XMM) / radiusMM, (y - m.YMM) / radiusMM, p.meanRoot(x0, y0, side)})
		}
	}
	return samples
}

// meanRoot returns the mean root of a square of the plane, 0 to 1.
func (p *Plane) meanRoot(x0, y0, side int) float64 {
	var sum uint64
	for y := y0; y < y0+side; y++ {
		for _, v := range p.Root[y*p.Width+x0:][:side] {
			sum += uint64(v)
		}
	}
	return float64(sum) / (65535 * float64(side*side))
}

// markFit is the state of a fit: root = ground + slope · place + swing · ink.
type markFit struct {
	ground, slopeX, slopeY, swing float64
	scale, whole, like            float64
}

// improve solves for the ground, the swing and a step of the centre, all at once,
// and then judges anew what to believe.
func (f *markFit) improve(samples []sample, c Point) (Point, bool) {
	found, ok := f.solve(samples, c)
	if !ok {
		return Point{}, false
	}
	f.ground, f.slopeX, f.slopeY, f.swing = found[0], found[1], found[2], found[3]
	step := Point{found[4] / f.swing, found[5] / f.swing}
	f.judge(samples, c)
	length := math.Hypot(step.X, step.Y)
	if math.IsNaN(length) || math.IsInf(length, 0) {
		return Point{}, false
	}
	if length > longestStep {
		step.X, step.Y = step.X*longestStep/length, step.Y*longestStep/length
	}
	return step, true
}

// solve returns the weighted least-squares solution of one step: ground, slopes,
// swing, and swing times the step of the centre.
func (f *markFit) solve(samples []sample, c Point) (solution [6]float64, ok bool) {
	var normal [36]float64
	var right [6]float64
	for _, s := range samples {
		dx, dy := s.x-c.X, s.y-c.Y
		r := math.Hypot(dx, dy)
		if r > comparedShare {
			continue
		}
		ink, slope := markProfile(r)
		w := biweight((s.root - f.at(dx, dy, ink)) / f.scale)
		if w == 0 {
			continue
		}
		pull := -slope / max(r, 1e-9)
		row := [6]float64{1, dx, dy, ink, pull * dx, pull * dy}
		for i, v := range row {
			v *= w
			right[i] += float64(v * s.root)
			for j := i; j < 6; j++ {
				normal[6*i+j] += float64(v * row[j])
			}
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(mat.NewSymDense(6, normal[:])) {
		return solution, false
	}
	return solution, factor.SolveVecTo(mat.NewVecDense(6, solution[:]), mat.NewVecDense(6, right[:])) == nil
}

func (f *markFit) at(dx, dy, ink float64) float64 {
	return f.ground + float64(f.slopeX*dx) + float64(f.slopeY*dy) + float64(f.swing*ink)
}

// judge sets the scale of misses beyond which a sample counts for nothing, and
// how much of the mark is like one.
func (f *markFit) judge(samples []sample, c Point) {
	var misses, roots []float64
	for _, s := range samples {
		dx, dy := s.x-c.X, s.y-c.Y
		if r := math.Hypot(dx, dy); r <= comparedShare {
			ink, _ := markProfile(r)
			misses = append(misses, s.root-f.at(dx, dy, ink))
			roots = append(roots, s.root)
		}
	}
	sizes := make([]float64, len(misses))
	for i, m := range misses {
		sizes[i] = math.Abs(m)
	}
	slices.Sort(sizes)
	// 4.685 robust standard deviations: 95 % efficient on clean data (Beaton and
	// Tukey 1974, Technometrics 16, from memory); never tighter than blur needs.
	f.scale = max(4.685*1.4826*sizes[len(sizes)/2], 0.25*math.Abs(f.swing), 1e-6)
	f.rate(misses, roots)
}

// rate sets whole and like.
func (f *markFit) rate(misses, roots []float64) {
	var sum, mean, left, all float64
	for i, m := range misses {
		w := biweight(m / f.scale)
		sum, mean = sum+w, mean+float64(w*roots[i])
	}
	f.whole, f.like = sum/float64(len(misses)), 0
	if sum == 0 {
		return
	}
	mean /= sum
	for i, m := range misses {
		w, d := biweight(m/f.scale), roots[i]-mean
		left, all = left+float64(w*m*m), all+float64(w*d*d)
	}
	if all > 0 {
		f.like = math.Sqrt(max(0, 1-left/all))
	}
}

// biweight is Tukey's: 1 at no miss, 0 from a miss of 1 on.
func biweight(miss float64) float64 {
	if miss <= -1 || miss >= 1 {
		return 0
	}
	u := 1 - float64(miss*miss)
	return u * u
}

// markProfile returns the ink of a mark with soft edges at a distance from its
// centre, in shares of its radius, and the slope there.
func markProfile(r float64) (ink, slope float64) {
	dot, dotSlope := softStep(r - chart.MarkDot)
	ring, ringSlope := softStep(r - chart.MarkRing)
	rim, rimSlope := softStep(r - 1)
	return 1 - dot + ring - rim, -dotSlope + ringSlope - rimSlope
}

// softStep rises from 0 to 1 about 0, and has that slope.
func softStep(t float64) (height, slope float64) {
	u := t/(2*edgeShare) + 0.5
	if u <= 0 {
		return 0, 0
	}
	if u >= 1 {
		return 1, 0
	}
	return float64(u*u) * (3 - 2*u), 6 * u * (1 - u) / (2 * edgeShare)
}
