package darkroom

import "math"

// field is a smooth function over a sheet in millimetres, held at knots and
// straight between them. It starts at the sheet's top-left corner.
type field struct {
	across, down int
	stepMM       float64
	knots        []float64
}

// newField samples value over widthMM x heightMM, at knots stepMM apart or a
// little closer to the far edges.
func newField(widthMM, heightMM, stepMM float64, value func(xMM, yMM float64) float64) *field {
	f := &field{across: int(math.Ceil(widthMM/stepMM)) + 1, down: int(math.Ceil(heightMM/stepMM)) + 1, stepMM: stepMM}
	f.across, f.down = max(f.across, 2), max(f.down, 2)
	f.knots = make([]float64, f.across*f.down)
	eachRow(f.down, func(j int) {
		for i := range f.across {
			f.knots[j*f.across+i] = value(float64(i)*stepMM, float64(j)*stepMM)
		}
	})
	return f
}

// level takes the mean over a part of the sheet away and scales what is left,
// so that over that part it nowhere passes most. The part is a margin in from
// every edge.
func (f *field) level(marginMM, most float64) {
	first := int(math.Ceil(marginMM / f.stepMM))
	n, sum := 0, 0.0
	f.inner(first, func(v float64) { n++; sum += v })
	if n == 0 {
		return
	}
	mean, peak := sum/float64(n), 0.0
	f.inner(first, func(v float64) { peak = max(peak, math.Abs(v-mean)) })
	if peak == 0 {
		return
	}
	for i := range f.knots {
		f.knots[i] = (f.knots[i] - mean) * (most / peak)
	}
}

func (f *field) inner(first int, do func(v float64)) {
	for j := first; j < f.down-first; j++ {
		for i := first; i < f.across-first; i++ {
			do(f.knots[j*f.across+i])
		}
	}
}

// at returns the field's value; places beyond the sheet take that of its edge.
func (f *field) at(xMM, yMM float64) float64 {
	i, u := f.cell(xMM, f.across)
	j, v := f.cell(yMM, f.down)
	k := j*f.across + i
	top := f.knots[k] + u*(f.knots[k+1]-f.knots[k])
	bottom := f.knots[k+f.across] + u*(f.knots[k+f.across+1]-f.knots[k+f.across])
	return top + v*(bottom-top)
}

// cell returns the knot before a place and how far the place lies from it to
// the next, 0 to 1.
func (f *field) cell(mm float64, n int) (i int, share float64) {
	at := min(max(mm/f.stepMM, 0), float64(n-1))
	i = min(int(at), n-2)
	return i, at - float64(i)
}

// row fills out with the field along the row at yMM; pixel x lies at
// firstMM + x*pixelMM.
func (f *field) row(out []float64, firstMM, pixelMM, yMM float64) {
	j, v := f.cell(yMM, f.down)
	top, bottom := f.knots[j*f.across:(j+1)*f.across], f.knots[(j+1)*f.across:(j+2)*f.across]
	line := make([]float64, f.across)
	for i := range line {
		line[i] = top[i] + v*(bottom[i]-top[i])
	}
	at, step := firstMM/f.stepMM, pixelMM/f.stepMM
	last := float64(f.across - 1)
	for x := range out {
		place := min(max(at+float64(float64(x)*step), 0), last)
		i := min(int(place), f.across-2)
		out[x] = line[i] + (place-float64(i))*(line[i+1]-line[i])
	}
}
