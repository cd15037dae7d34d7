package calibration

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/monotone"
	"actinic/process/sensitometry"
)

// Mismatch is how much the UV density of an ink may differ between two sensitisers
// under one lamp, as a share of it (sd), where nothing else is said: the prior of
// the doubt when another calibration's ink is reused. An ink that loses 0.7 % of
// its density a nanometre differs, by the proxies of package opacity, between iron
// salts and dichromate by less than 1 % under any LED of 365 to 405 nm or blacklight
// tube; between iron and silver by 1 to 3 % from 350 to 385 nm, 3 to 4 % at 395 and
// 405, and past all use in daylight. A test holds it to that; the slope is a working
// value of ours.
const Mismatch = 0.03

// reused prints another calibration's ink on a paper known from a step tablet
// alone.
type reused struct {
	paper    *Estimate
	curve    *sensitometry.Curve
	uv       *monotone.Curve // of film ink
	ink      *otherInk
	mismatch float64
}

// Reuse makes a calibration from a step tablet alone, with the UV density of
// the ink from another calibration. It takes for granted that the lamp is the
// same and the sensitiser sees a like part of its light, to rq.Mismatch of
// density. It uses no more ink than the other calibration's curve did: beyond, what
// the ink stops was never seen.
func (e *Estimate) Reuse(other *Calibration, rq Request) (*Calibration, error) {
	if !e.HasTablet() {
		return nil, errNeedsTablet
	}
	if other.Ink.UVDensity == nil {
		return nil, fault.New("", "", "the other calibration was made without a step tablet: the UV density of its ink is not known",
			"calibrate the ink once with a step tablet in the chart's window")
	}
	return e.print(&otherInk{&other.Ink, other.inkReach(), "another calibration", other.Curve.ToneSD[len(other.Curve.ToneSD)/2]}, rq)
}

var errNeedsTablet = fault.New("", "", "reusing an ink needs a step tablet on the new paper", "give --tablet")

// otherInk is an ink that was measured elsewhere.
type otherInk struct {
	*Ink
	reach float64 // film ink, %, up to which what it stops was seen
	from  string  // where
	// chartSD is the doubt of the middle tone that a chart left there, L*; NaN where
	// there was none.
	chartSD float64
}

// print makes the calibration of a paper known from a tablet with another ink.
func (e *Estimate) print(other *otherInk, rq Request) (*Calibration, error) {
	r, err := e.reuse(other, rq.Mismatch)
	if err != nil {
		return nil, err
	}
	c := newCalibration(rq, e.inputs(), other.Path)
	c.Ink.fill(r, true)
	curve := r.curve
	reach := ends{black: curve.Black().Lightness(), white: (curve.Paper + toe).Lightness(), low: 0, high: r.ink.reach}
	if err := c.draw(r, rq.Aim, reach, true); err != nil {
		return nil, fault.InFile(err, e.prints[0].Tablet.File)
	}
	c.Characteristic = e.characteristic()
	full, sd := r.UVDensity(100)
	c.Ink.Range = &Value{float64(full), sd}
	c.Exposure = e.exposure(rq)
	c.Quality = e.quality()
	c.Cautions = append(c.Cautions, r.cautions(c)...)
	c.Cautions = append(c.Cautions, e.cautions(c)...)
	return c, nil
}

func (e *Estimate) reuse(ink *otherInk, share float64) (*reused, error) {
	uv, err := monotone.New(ink.Percent, ink.UVDensity)
	if err != nil {
		return nil, err
	}
	if share == 0 {
		share = Mismatch
	}
	return &reused{paper: e, curve: e.Curve(), uv: uv, ink: ink, mismatch: share}, nil
}

// inkReach is the most film ink that the calibration's own curve uses, %.
func (c *Calibration) inkReach() float64 {
	n := len(c.Curve.Ink)
	return math.Max(c.Curve.Ink[0], c.Curve.Ink[n-1])
}

// UVDensity returns the other calibration's UV density, its doubt widened by
// the mismatch.
func (r *reused) UVDensity(ink float64) (density.Density, float64) {
	d := r.uv.Held(ink)
	return density.Density(d), math.Hypot(r.ink.sdAt(ink), r.mismatch*d)
}

// sdAt is the standard uncertainty of UV density between the nodes.
func (k *Ink) sdAt(ink float64) float64 {
	i := 1
	for i < len(k.Percent)-1 && ink > k.Percent[i] {
		i++
	}
	t := (ink - k.Percent[i-1]) / (k.Percent[i] - k.Percent[i-1])
	return k.SD[i-1] + t*(k.SD[i]-k.SD[i-1])
}

// PrintLightness returns the print tone with the doubt of paper and ink.
func (r *reused) PrintLightness(ink float64) (density.Lightness, float64) {
	uv, sd := r.UVDensity(ink)
	return r.lightness(uv, sd)
}

func (r *reused) lightness(uv density.Density, sd float64) (density.Lightness, float64) {
	x := -density.LogExposure(uv)
	d, paperSD := r.paper.PrintDensity(x)
	fromInk := r.curve.Gradient(x) * sd
	return d.Lightness(), -d.LightnessSlope() * math.Hypot(paperSD, fromInk)
}

func (r *reused) tone(ink float64) density.Lightness {
	return r.curve.Density(-density.LogExposure(r.uv.Held(ink))).Lightness()
}

func (r *reused) meanOf() int { return r.paper.meanOf() }

// cautions says what the reuse takes for granted, what that costs, what a chart
// would bring, and where the ink was not known.
func (r *reused) cautions(c *Calibration) []string {
	out := []string{r.assumption(c)}
	if r.paper.tabletScaleDoubt() > 0 {
		out = append(out, "The step tablet's densities are nominal. Use the same tablet as there: the error of its densities is then the same in both and does not reach the print.")
	}
	known := r.uv.Held(r.ink.reach)
	if needed := -float64(r.curve.Points().Toe); !r.paper.fit.falling && needed > known+0.01 {
		out = append(out, fmt.Sprintf("Paper white needs a UV density of %.2f here; the ink was seen up to %.2f (%.0f %% film ink), and no more of it is used. A chart on this paper would show whether more ink reaches it.",
			needed, known, r.ink.reach))
	}
	return out
}

// assumption says what the reuse takes for granted, in figures of the middle tone.
func (r *reused) assumption(c *Calibration) string {
	middle := c.Curve.Ink[len(c.Curve.Ink)/2]
	uv, _ := r.UVDensity(middle)
	_, all := r.PrintLightness(middle)
	_, matched := r.lightness(uv, r.ink.sdAt(middle))
	text := fmt.Sprintf("The ink's UV density comes from %s: it holds under the same lamp for a sensitiser that sees a like part of its light, "+
		"and the doubt includes %.2g %% of density for what it may differ. The middle tone is known to +- %.1f L* for that (+- %.1f L* if they were the same)",
		r.ink.from, 100*r.mismatch, all, matched)
	if math.IsNaN(r.ink.chartSD) {
		return text + "; one confirming chart on this paper would replace it."
	}
	return text + fmt.Sprintf("; one confirming chart on this paper would bring about +- %.1f L*, as it did there.", r.ink.chartSD)
}
