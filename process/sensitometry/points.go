package sensitometry

import (
	"fmt"
	"math"

	"actinic/process/density"
)

// Curve is a characteristic curve with its densities and the span of log
// exposure over which it was read.
type Curve struct {
	Form      *Form
	Paper     density.Density     // print density of paper without image
	Net       density.Density     // maximum density less Paper
	Low, High density.LogExposure // least and most exposure that was read
}

// The densities that define a curve's points. Toe, shoulder and speed are those
// of ISO 6846:1992 (0.04 above the paper, 90 % of net maximum density, 0.60
// above the paper), as quoted by the Focal Encyclopedia of Photography, p. 679;
// the standard itself was not at hand. Black is ours: a just-visible step below
// the maximum.
const (
	ToeAbovePaper   density.Density = 0.04
	SpeedAbovePaper density.Density = 0.60
	ShoulderShare                   = 0.90
	BlackShare                      = 0.97
)

// RangeError says that a curve was not read as far as a point needs.
type RangeError struct {
	End     string              // "paper white" or "maximum black"
	Density density.Density     // print density that the readings end at
	Needed  density.Density     // print density that the point needs
	Short   density.LogExposure // about how much log exposure is missing; 0 where no exposure gives Needed
	Far     bool                // the readings end so early that Needed and Short are lower bounds
}

func (e *RangeError) Error() string {
	if e.Far {
		return fmt.Sprintf("%s is missing by far: the readings end at a print density of %.2f while tone still changes, at least %.1f stops short",
			e.End, e.Density, float64(e.Short)/density.Stop)
	}
	if e.Short == 0 {
		return fmt.Sprintf("%s is missing: the readings end at a print density of %.2f, %.2f is needed, which no exposure gives",
			e.End, e.Density, e.Needed)
	}
	return fmt.Sprintf("%s is missing: the readings end at a print density of %.2f, %.2f is needed, about %.2f further in log exposure (%.1f stops)",
		e.End, e.Density, e.Needed, e.Short, float64(e.Short)/density.Stop)
}

// The share of the net density that readings must leave behind at the light end,
// or reach at the dark one, for the end to be told: beyond, a point is Far.
const (
	lightEndShare = 0.15
	darkEndShare  = 0.85
)

// Beyond is how far outside the readings a point may lie, in log exposure: the
// clear film beside a tablet whose first step has a density of 0.05.
const Beyond density.LogExposure = 0.05

// Density returns the print density at a log exposure.
func (c *Curve) Density(x density.LogExposure) density.Density {
	return c.Paper + density.Density(float64(c.Net)*c.Form.Share(x))
}

// Gradient returns d(print density)/d(log exposure).
func (c *Curve) Gradient(x density.LogExposure) float64 {
	return float64(c.Net) * c.Form.Gradient(x)
}

// Maximum returns the maximum density.
func (c *Curve) Maximum() density.Density { return c.Paper + c.Net }

// Shoulder returns the density of 90 % of the net maximum, and Black that of
// 97 %.
func (c *Curve) Shoulder() density.Density { return c.Paper + ShoulderShare*c.Net }

// Black returns the print density that counts as black.
func (c *Curve) Black() density.Density { return c.Paper + BlackShare*c.Net }

// exposure returns the log exposure of a print density between paper and
// maximum, wherever it lies.
func (c *Curve) exposure(d density.Density) density.LogExposure {
	return c.Form.Exposure(float64((d - c.Paper) / c.Net))
}

// Exposure returns the log exposure that prints density d. It fails with
// *RangeError when that lies more than Beyond outside what was read.
func (c *Curve) Exposure(d density.Density) (density.LogExposure, error) {
	share := float64((d - c.Paper) / c.Net)
	if !(share > 0 && share < 1) {
		return 0, c.missing(d, density.LogExposure(math.NaN()))
	}
	x := c.exposure(d)
	if x < c.Low-Beyond || x > c.High+Beyond {
		return 0, c.missing(d, x)
	}
	return x, nil
}

// missing names the end at which print density d lies and what lacks to it.
func (c *Curve) missing(d density.Density, x density.LogExposure) *RangeError {
	dark, light := c.High, c.Low
	if c.Form.Falling {
		dark, light = c.Low, c.High
	}
	e := &RangeError{End: "maximum black", Needed: d, Far: c.Form.Share(dark) < darkEndShare}
	edge := dark
	if d < c.Density(light) {
		e.End, edge = "paper white", light
		e.Far = c.Form.Share(light) > lightEndShare
	}
	e.Density = c.Density(edge)
	if short := math.Abs(float64(x - edge)); !math.IsNaN(short) {
		e.Short = density.LogExposure(short)
	}
	return e
}

// Points are the landmarks of a curve in log exposure, each NaN with the reason
// in Missing when the readings do not reach it.
type Points struct {
	Toe      density.LogExposure // 0.04 above the paper: the lightest useful tone
	Speed    density.LogExposure // 0.60 above the paper
	Shoulder density.LogExposure // 90 % of net maximum density
	Black    density.LogExposure // 97 % of net maximum density
	Missing  []*RangeError       // one an end
}

// Points finds the landmarks.
func (c *Curve) Points() Points {
	var p Points
	seen := map[string]bool{}
	find := func(d density.Density) density.LogExposure {
		x, err := c.Exposure(d)
		if err == nil {
			return x
		}
		if miss := err.(*RangeError); !seen[miss.End] {
			seen[miss.End] = true
			p.Missing = append(p.Missing, miss)
		}
		return density.LogExposure(math.NaN())
	}
	p.Toe = find(c.Paper + ToeAbovePaper)
	p.Black = find(c.Black())
	p.Shoulder = find(c.Shoulder())
	p.Speed = density.LogExposure(math.NaN())
	if SpeedAbovePaper < c.Net { // weak prints have no speed point, and nothing is missing
		p.Speed = find(c.Paper + SpeedAbovePaper)
	}
	return p
}

// ExposureScale returns the log exposure from Toe to Shoulder, NaN when one is
// missing (ISO 6846:1992: log H_S - log H_T).
func (p Points) ExposureScale() density.LogExposure {
	return density.LogExposure(math.Abs(float64(p.Shoulder - p.Toe)))
}

// NeededRange returns the log exposure from Toe to Black, NaN when one is
// missing: what the ink range must reach.
func (p Points) NeededRange() density.LogExposure {
	return density.LogExposure(math.Abs(float64(p.Black - p.Toe)))
}

// ISORange returns the ISO range of an exposure scale, 100 times it rounded to
// the nearest 10, as in "ISO R140" (ISO 6846:1992; the rounding from memory).
func ISORange(scale density.LogExposure) int {
	return 10 * int(math.Round(float64(10*scale)))
}

// AverageGradient returns the slope of the straight line from Toe to Shoulder,
// NaN when one is missing.
func (c *Curve) AverageGradient(p Points) float64 {
	return float64(c.Shoulder()-c.Paper-ToeAbovePaper) / float64(p.ExposureScale())
}

// FirstBlack returns the shortest exposure that reaches black through clear
// film, in the unit of exposure, when exposure was given to the print and black
// lies at log exposure black.
func FirstBlack(exposure float64, black density.LogExposure) float64 {
	return exposure * math.Pow(10, float64(black))
}
