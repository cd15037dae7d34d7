package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"actinic/process/measure"
)

// sizes says by how much print k differs from the others.
func (a *apart) sizes(v *verdict, k int) Agreement {
	g := Agreement{Differs: v.differs[k], Offset: v.offset(a, k), Expected: Value{math.NaN(), math.NaN()}, alone: a.prints == 2}
	if !a.open[k] {
		g.Expected = Value{a.expected[k], 0}
	}
	g.Contrast = v.deviation(a, k, OfContrast)
	g.Paper = v.deviation(a, k, OfPaper)
	g.Black = v.black(a, k)
	g.Strength, g.Shape = a.shape(v, k)
	return g
}

// difference is the row that takes deviation d of the others' mean from print k's.
func (a *apart) difference(v *verdict, k int, d Difference) []float64 {
	row := make([]float64, a.full())
	row[a.deviation(k)+int(d)] = 1
	others := v.others(k, d)
	for _, j := range others {
		row[a.deviation(j)+int(d)] -= 1 / float64(len(others))
	}
	return row
}

// others are the prints that print k is held against: those that do not differ in
// d themselves, or all when none is left.
func (v *verdict) others(k int, d Difference) []int {
	var all, good []int
	for j := range v.differs {
		if j == k {
			continue
		}
		all = append(all, j)
		if !slices.Contains(v.differs[j], d) {
			good = append(good, j)
		}
	}
	if len(good) == 0 {
		return all
	}
	return good
}

func (v *verdict) deviation(a *apart, k int, d Difference) Value { return v.of(a.difference(v, k, d)) }

// black is how much deeper print k's maximum density is than the others'.
func (v *verdict) black(a *apart, k int) Value {
	row := a.difference(v, k, OfPaper)
	net := func(j int) float64 { return math.Exp(v.mean[atNet] + v.mean[a.deviation(j)+int(OfBlack)]) }
	value := v.deviation(a, k, OfPaper).Value + net(k)
	row[a.deviation(k)+int(OfBlack)] = net(k)
	others := v.others(k, OfBlack)
	for _, j := range others {
		share := net(j) / float64(len(others))
		value -= share
		row[a.deviation(j)+int(OfBlack)] = -share
	}
	return Value{value, v.of(row).SD}
}

// offset is print k's log exposure against the first print's.
func (v *verdict) offset(a *apart, k int) Value {
	row := make([]float64, a.full())
	if k > 0 {
		row[a.deviation(k)+int(OfExposure)] = 1
		row[a.deviation(0)+int(OfExposure)] = -1
	}
	return v.of(row)
}

// of is a linear function of the parameters with its standard uncertainty.
func (v *verdict) of(row []float64) Value {
	r := mat.NewVecDense(len(row), row)
	return Value{mat.Dot(r, mat.NewVecDense(len(v.mean), v.mean)), math.Sqrt(math.Max(0, mat.Inner(r, v.covariance, r)))}
}

// shape says how print k's ink differs from the others': in strength, and what is
// left of its shape then, as a root mean square of tone over film ink.
func (a *apart) shape(v *verdict, k int) (strength Value, lstar float64) {
	ev := a.model.at(v.mean[:a.size()])
	others := v.others(k, OfInk)
	at := func(j int) int { return a.atShapes(j) }
	row := make([]float64, a.full())
	inks, uv, slope, away := []float64{}, []float64{}, []float64{}, []float64{}
	var top float64
	for ink := 5.0; ink <= 100; ink += 5 {
		var h [inkShape + 1]float64
		hats(inkShapeGrid, ink/100, h[:])
		d := 0.0
		for i, w := range h[1:] {
			d += w * v.mean[at(k)+i]
			for _, j := range others {
				d -= w * v.mean[at(j)+i] / float64(len(others))
			}
		}
		o := observation{print: common, tablet: math.NaN(), ink: ink, unit: measure.InLightness}
		step := o
		step.beyond = 0.01
		inks, away = append(inks, ink), append(away, d)
		uv = append(uv, float64(ev.ramp.UVDensity(ink)))
		slope = append(slope, (ev.reading(&step, nil)-ev.reading(&o, nil))/0.01)
	}
	// The strength is what a straight line through nothing makes of it, where the
	// print shows it.
	for i := range inks {
		top += math.Pow(slope[i]*uv[i], 2)
	}
	for i, ink := range inks {
		var h [inkShape + 1]float64
		hats(inkShapeGrid, ink/100, h[:])
		w := slope[i] * slope[i] * uv[i] / top
		for n, x := range h[1:] {
			row[at(k)+n] += w * x
			for _, j := range others {
				row[at(j)+n] -= w * x / float64(len(others))
			}
		}
	}
	strength = v.of(row)
	sum := 0.0
	for i := range inks {
		sum += math.Pow(slope[i]*(away[i]-strength.Value*uv[i]), 2)
	}
	return strength, math.Sqrt(sum / float64(len(inks)))
}
