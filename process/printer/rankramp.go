package printer

// coarseSteps is into how many parts a ramp is cut where colours are ranked: few
// enough that a model's small waves do not decide the order.
const coarseSteps = 32

// coarse is a straight ramp from clear film to a colour, known at even film
// inks; UV density never falls along it, because a fall is levelled.
type coarse struct {
	to RGB
	uv [coarseSteps + 1]float64
}

func newCoarse(m Predictor, to RGB) *coarse {
	path := Straight(to)
	var colours [coarseSteps + 1]RGB
	for i := range colours {
		colours[i] = path.At(100 * float64(i) / coarseSteps)
	}
	r := &coarse{to: to}
	copy(r.uv[:], uvDensities(m, colours[:]))
	for i := 1; i < len(r.uv); i++ {
		r.uv[i] = max(r.uv[i], r.uv[i-1])
	}
	return r
}

// end is the UV density of the colour.
func (r *coarse) end() float64 { return r.uv[coarseSteps] }

// percentAt returns the film ink at which the ramp reaches a UV density, 100
// where it never does.
func (r *coarse) percentAt(uv float64) float64 {
	for i := 1; i < len(r.uv); i++ {
		if r.uv[i] >= uv && r.uv[i] > r.uv[i-1] {
			t := (uv - r.uv[i-1]) / (r.uv[i] - r.uv[i-1])
			return 100 * (float64(i-1) + t) / coarseSteps
		}
	}
	return 100
}

// steepest returns the largest rise of UV density over one code value of the
// channel that moves most, up to a film ink.
func (r *coarse) steepest(percent float64) float64 {
	codes := farthest(Clear, r.to) / coarseSteps
	rise := 0.0
	for i := 1; i < len(r.uv) && 100*float64(i-1)/coarseSteps < percent; i++ {
		rise = max(rise, r.uv[i]-r.uv[i-1])
	}
	return rise / max(codes, 1)
}

// levelsUpTo returns how many distinct colours of 8 bits a straight ramp has up
// to the first that reaches a film ink, clear film among them: as many as
// LevelsOf gives.
func levelsUpTo(to RGB, percent float64) int {
	levels := printable(Straight(to), usualDepth)
	for i, l := range levels {
		if l.Percent >= percent {
			return i + 1
		}
	}
	return len(levels)
}
