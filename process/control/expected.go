package control

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
)

// StripPatch is a patch of the strip that stands beside a picture: its name, and
// the picture tone that it was made from.
type StripPatch struct {
	Name string
	Tone float64 // L*, 0 to 100
}

// leastPatches is how few patches make a check: dark, middle and light.
const leastPatches = 3

// place is one patch with what it should have printed as.
type place struct {
	Patch
	a, b  float64 // CIE a*, b*; NaN where not read
	noise float64 // L*: of the reading, unevenness of the sheet included
	uv    float64 // UV density of its ink; NaN where not known
}

// Unevenness of coating from patch to patch, sd of print density, which no
// reading's own doubt holds (a working value of ours: what is left of a sheet's
// 0.02 to 0.04 when its slow part, which looks like exposure, is taken off); and
// the noise of a reading of which nothing is known, L*.
const (
	patchDensity = 0.008
	usualNoise   = 0.5
)

// places lists the patches of readings with the calibration's aim for each.
func places(t *measure.Table, c *calibration.Calibration, strip []StripPatch) ([]place, error) {
	if t.Kind != measure.Ramp && t.Kind != measure.Patches {
		return nil, fault.New(t.File, "", fmt.Sprintf("holds %v, expected an ink ramp or a check strip", t.Kind),
			"give readings with the columns patch and ink, or with patch 1 to 10 of the strip; --chart CHART looks patches up by name")
	}
	if err := checkCount(t); err != nil {
		return nil, err
	}
	curve, err := c.InkCurve()
	if err != nil {
		return nil, err
	}
	aimed := newAims(c, curve)
	var out []place
	for _, r := range t.Readings {
		p := newPlace(r)
		ink := r.Ink
		if t.Kind == measure.Patches {
			tone, err := toneOf(t, r, strip)
			if err != nil {
				return nil, err
			}
			p.Tone, ink = &tone, curve.Ink(tone)
		}
		p.Ink = &ink
		aimed.fill(&p)
		out = append(out, p)
	}
	return out, checkSense(out, t.File)
}

// checkSense refuses readings that run against their aim.
func checkSense(ps []place, file string) error {
	var aim, read []float64
	for _, p := range ps {
		aim, read = append(aim, p.Aim), append(read, p.Read)
	}
	if !(stat.Correlation(aim, read, nil) < 0) {
		return nil
	}
	return fault.New(file, "", "the readings get darker where the aim gets lighter",
		"check that they are of the print, not of the film, and that the patches are in their order")
}

func checkCount(t *measure.Table) error {
	if len(t.Readings) >= leastPatches {
		return nil
	}
	return fault.New(t.File, "", fmt.Sprintf("holds %d of the patches, expected at least %d: a dark, a middle and a light one", len(t.Readings), leastPatches),
		"read the whole strip")
}

// newPlace is a reading without its aim.
func newPlace(r measure.Reading) place {
	l := r.Lightness()
	p := place{Patch: Patch{ID: r.ID, Read: float64(l)}, a: r.LabA, b: r.LabB, uv: math.NaN()}
	p.SD = r.SD
	if r.Unit == measure.InDensity {
		p.SD *= -density.Density(r.Value).LightnessSlope()
	}
	if math.IsNaN(p.SD) {
		p.SD = usualNoise
	}
	return p
}

// toneOf finds the strip's patch of a reading: "7", "07" or "strip 7".
func toneOf(t *measure.Table, r measure.Reading, strip []StripPatch) (float64, error) {
	fields := strings.Fields(r.ID)
	if len(fields) > 0 {
		n, err := strconv.Atoi(fields[len(fields)-1])
		for _, p := range strip {
			if err == nil && p.Name == strconv.Itoa(n) {
				return p.Tone, nil
			}
		}
	}
	return 0, fault.New(t.File, fmt.Sprintf("line %d", r.Line), fmt.Sprintf("patch %s: expected a number of the check strip, 1 to %d", r.ID, len(strip)),
		"give the column ink for patches of a chart, or --chart CHART to look them up")
}

// aims gives what a film ink should print as.
type aims struct {
	c      *calibration.Calibration
	curve  *calibration.InkCurve
	answer *response // nil where the calibration has none
}

func newAims(c *calibration.Calibration, curve *calibration.InkCurve) aims {
	r, _ := newResponse(c)
	return aims{c, curve, r}
}

func (a aims) fill(p *place) {
	p.Aim = float64(a.curve.PrintLightness(*p.Ink))
	p.AimSD = between(a.c.Ink.Percent, a.c.Ink.PrintSD, *p.Ink)
	p.Difference = p.Read - p.Aim
	noise := p.SD
	if d := a.c.Doubt; d != nil {
		noise = math.Max(noise, between(a.c.Ink.Percent, d.Noise, *p.Ink))
	}
	p.noise = withUnevenness(noise, p.Aim)
	if a.answer != nil {
		p.uv = a.answer.uv.Held(*p.Ink)
	}
}

// withUnevenness adds what coating does from patch to patch to a noise, at a tone.
func withUnevenness(noise, lstar float64) float64 {
	slope := densityOf(lstar).LightnessSlope()
	return math.Hypot(noise, patchDensity*slope)
}

// between returns y at v along a straight line between its neighbours in x, which
// rises; beyond the ends, the end's.
func between(x, y []float64, v float64) float64 {
	i := 1
	for i < len(x)-1 && v > x[i] {
		i++
	}
	t := math.Max(0, math.Min(1, (v-x[i-1])/(x[i]-x[i-1])))
	return y[i-1] + float64(t*(y[i]-y[i-1]))
}
