package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/density"
	"actinic/process/measure"
)

// leastFree is the part of a reading that its own colour's UV density leaves over
// below which its distance says nothing: a colour read once fits itself.
const leastFree = 0.02

// residual is how far a reading lies from what it should be, in its unit.
func (v *view) residual(r *colourReading) float64 {
	tone, _ := v.tone(r, v.f.colours[r.colour].uv)
	return r.value - tone
}

// free is the share of a reading's noise that is left after its colour's UV
// density was fitted to it.
func (f *colourFit) free(r *colourReading) float64 {
	info := f.colours[r.colour].info
	if info <= 0 {
		return 1
	}
	return math.Max(0, 1-r.byUV*r.byUV/info)
}

// reweigh gives readings their robust weight, as far as others of their colour
// tell.
func (f *colourFit) reweigh() {
	v := f.view()
	for i := range f.readings {
		r := &f.readings[i]
		if free := f.free(r); free > leastFree {
			r.weight = robustWeight(v.standardised(r, free))
		}
	}
}

func (v *view) standardised(r *colourReading, free float64) float64 {
	return v.residual(r) / (v.f.noise.of(&r.observation) * math.Sqrt(free))
}

// estimateNoise takes the noise of each group from what is left of tablets and
// colours together.
func (f *colourFit) estimateNoise() {
	v := f.view()
	tablets := f.estimate.fit
	used := 1 - tablets.dof/float64(len(tablets.obs))
	for g := range f.noise {
		var rs residuals
		free := 0.0
		for i, o := range tablets.obs {
			if o.group == g {
				rs = append(rs, weighted{tablets.weights[i], tablets.residual[i], o.scale})
				free += tablets.weights[i] * math.Max(0.3, used)
			}
		}
		for i := range f.readings {
			r := &f.readings[i]
			if part := f.free(r); r.group == g && part > leastFree {
				rs = append(rs, weighted{r.weight, v.residual(r), r.scale})
				free += r.weight * part
			}
		}
		if free >= leastFreedom {
			f.noise[g].estimate(rs, free)
		}
	}
}

// leastFreedom is how many independent readings tell a noise from the usual.
const leastFreedom = 6

// judge says which colours are numbers, and bounds the others.
func (f *colourFit) judge() {
	f.match((*matched).bound)
	for i := range f.colours {
		c := &f.colours[i]
		c.known = len(c.readings) > 0 && c.closed && math.Hypot(c.doubt(), c.sharedDoubt(f)) <= mostDoubt && c.uv >= f.low-mostDoubt && c.uv <= f.high
	}
}

// sharedDoubt is the part of a colour's doubt that comes from what it shares.
func (c *matched) sharedDoubt(f *colourFit) float64 {
	v := mat.NewVecDense(len(c.by), c.by)
	return math.Hypot(math.Sqrt(math.Max(0, mat.Inner(v, f.covar, v))), c.byTone)
}

// fill writes the outcome of a fit.
func (c *Colours) fill() {
	v := c.fit.view()
	for i := range c.fit.colours {
		c.Measured = append(c.Measured, c.measured(v, &c.fit.colours[i]))
	}
	for k := range c.fit.prints {
		c.Prints = append(c.Prints, c.fit.print(k))
	}
	c.setReach()
	c.Unevenness = c.fit.unevenness()
	c.Outliers = append(c.Estimate.Outliers(), c.fit.outliers()...)
}

// setReach bounds the UV densities that some print tells: those of the tablets
// where not even one reading is told.
func (c *Colours) setReach() {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range c.Prints {
		if !math.IsNaN(p.Low) {
			low, high = math.Min(low, p.Low), math.Max(high, p.High)
		}
	}
	if c.Low, c.High = low, high; low > high {
		c.Low, c.High = c.fit.low, c.fit.high
	}
}

func (c *Colours) measured(v *view, m *matched) MeasuredColour {
	nan := math.NaN()
	out := MeasuredColour{RGB: m.rgb, UVDensity: nan, SD: nan, PatchSD: nan, AtLeast: nan, AtMost: nan}
	for _, n := range m.readings {
		r := &c.fit.readings[n]
		out.Patches = append(out.Patches, r.table.Readings[r.index].ID)
	}
	for _, a := range m.aside {
		out.Patches = append(out.Patches, a.id)
	}
	if m.known {
		// Less than clear film stops nothing does; below it is noise.
		out.UVDensity, out.PatchSD = math.Max(0, m.uv), m.doubt()
		out.SD = math.Hypot(math.Hypot(m.doubt(), m.sharedDoubt(c.fit)), c.TabletShare*out.UVDensity)
		return out
	}
	out.AtLeast, out.AtMost = c.bounds(m)
	if len(m.readings) == 0 {
		out.AtLeast, out.AtMost = nan, c.fit.mostOf(v, m)*(1+coverage95*c.TabletShare)
	}
	return out
}

// bounds returns the bounds of a colour that is no number, within what the tablets
// span; their own doubt widens them.
func (c *Colours) bounds(m *matched) (atLeast, atMost float64) {
	wide := coverage95 * c.TabletShare
	atLeast = math.Min(m.bounds[0], c.fit.high) * (1 - wide)
	atMost = math.Max(m.bounds[1], c.fit.low) * (1 + wide)
	if !(atLeast > 0) {
		atLeast = math.NaN()
	}
	if atMost > c.fit.high {
		atMost = math.NaN()
	}
	if math.IsNaN(atLeast) && math.IsNaN(atMost) {
		atLeast = 0 // nothing is known, but that ink stops light
	}
	return atLeast, atMost
}

// outliers lists the readings of colours that disagree with others of their
// colour.
func (f *colourFit) outliers() []Outlier {
	v := f.view()
	var out []Outlier
	for i := range f.readings {
		r := &f.readings[i]
		free := f.free(r)
		if free <= leastFree || math.Abs(v.standardised(r, free)) < outlierAt {
			continue
		}
		off := v.residual(r)
		read := r.table.Readings[r.index]
		if r.unit == measure.InDensity {
			off = offLightness(read.Density(), off)
		}
		out = append(out, Outlier{File: r.table.Name, ID: read.ID, Off: off})
	}
	return out
}

// print sums up what was found of a print, by its first page.
func (f *colourFit) print(k int) PrintOfColours {
	sheet := 0
	for f.sheets[sheet].print != k {
		sheet++
	}
	t := f.sheets[sheet].colours
	group := f.noise[f.groups[groupKey{t.Unit, statedDoubt(t) != nil}]]
	p := PrintOfColours{Noise: group.of(group.usual), Unit: t.Unit, Given: f.prints[k].Exposure}
	if at := f.estimate.fit.deviation(sheet); at >= 0 {
		p.Contrast = f.parameter(at + 3)
		if sheet > 0 { // the first is the origin
			p.Offset = f.parameter(at + 2)
		}
	}
	p.Low, p.High = f.span(sheet, t.Unit, p.Noise)
	return p
}

// parameter returns a parameter of the curve as tablets and colours have it.
func (f *colourFit) parameter(i int) Value {
	row := make([]float64, len(f.shared))
	copy(row, f.modes.RawRowView(i))
	if f.gain != nil {
		floats.SubTo(row[len(row)-f.uneven.size():], row[len(row)-f.uneven.size():], f.gain.RawRowView(i))
	}
	v := mat.NewVecDense(len(row), row)
	return Value{f.estimate.fit.mean[i] + f.shift()[i], math.Sqrt(math.Max(0, mat.Inner(v, f.covar, v)))}
}

// span bounds the UV densities that one reading of a sheet tells to mostDoubt.
func (f *colourFit) span(sheet int, unit measure.Unit, noise float64) (low, high float64) {
	c := f.view().curves[sheet]
	low, high = math.NaN(), math.NaN()
	for uv := f.low; uv <= f.high; uv += 0.01 {
		if _, slope := c.tone(uv, unit); math.Abs(slope)*mostDoubt >= noise {
			if math.IsNaN(low) {
				low = uv
			}
			high = uv
		}
	}
	return low, high
}

// offLightness turns a distance in density into one of L*.
func offLightness(read density.Density, off float64) float64 {
	return float64(read.Lightness() - (read - density.Density(off)).Lightness())
}
