package control

import (
	"fmt"
	"math"
	"strings"

	"actinic/process/calibration"
	"actinic/process/measure"
)

// A print is judged dry: iron prints change for up to a day (trade practice; the
// classic blueprint darkens as it oxidises in air, Liu et al.). Film ink dries in
// a quarter of an hour to a day (common practice).
const (
	hoursToJudge  = 24
	leastInkHours = 0.25
)

// mostCodes is how far, in code values, a patch may lie off the calibration's way
// through printer RGB: rounding to whole codes, of both.
const mostCodes = 2

// offThePath warns of a ramp whose printer code values are not those that the
// calibration would send for its ink; "" where they are.
func offThePath(t *measure.Table, c *calibration.Calibration) string {
	curve, err := c.InkCurve()
	if err != nil || t.Kind != measure.Ramp {
		return ""
	}
	for _, r := range t.Readings {
		if !r.HasDevice {
			continue
		}
		for i, v := range curve.Device(r.Ink) {
			if math.Abs(255*v-r.Device[i]) > mostCodes {
				return fmt.Sprintf("patch %s was printed with another ink colour than the calibration's: the check is of that ink", r.ID)
			}
		}
	}
	return ""
}

// How much drier or damper a room may be before it is worth a word, per cent of
// relative humidity, and how many times longer or shorter a negative may have dried
// (working values of ours: humidity moves speed and contrast of most hand-coated
// papers, film ink goes on drying for a day).
const (
	otherHumidity = 10
	otherDrying   = 2
)

// otherConditions says where a print was made under other conditions than those of
// the calibration, one sentence each.
func otherConditions(r *Record, k calibration.Conditions) []string {
	var out []string
	if r.Humidity != nil && k.Humidity != nil && math.Abs(*r.Humidity-*k.Humidity) >= otherHumidity {
		out = append(out, fmt.Sprintf("humidity: %g %% for this print, %g %% for the calibration: speed and contrast may differ by that", *r.Humidity, *k.Humidity))
	}
	if a, b := r.DryingHours, k.DryingHours; a != nil && b != nil && max(*a, *b) >= otherDrying*min(*a, *b) && *a != *b {
		out = append(out, fmt.Sprintf("drying: this negative dried for %g h, the calibration's chart for %g: its ink may stop more or less by that", *a, *b))
	}
	return out
}

// mismatches says where a print's record is not that of its calibration, one
// sentence each.
func mismatches(r *Record, c *calibration.Calibration) []string {
	var out []string
	for _, f := range []struct{ name, here, there string }{
		{"film batch", r.FilmBatch, c.Conditions.FilmBatch},
		{"ink batch", r.InkBatch, c.Setup.InkBatch},
		{"coats", r.Coats, c.Setup.Coats},
		{"toning", r.Toning, c.Setup.Toning},
	} {
		if f.here != "" && f.there != "" && !strings.EqualFold(strings.TrimSpace(f.here), strings.TrimSpace(f.there)) {
			out = append(out, fmt.Sprintf("%s: this print has %q, the calibration %q: a difference may be that", f.name, f.here, f.there))
		}
	}
	if r.Toning != "" && c.Setup.Toning == "" {
		out = append(out, fmt.Sprintf("this print was toned (%s), and the calibration does not say that its prints were: toning moves black and colour", r.Toning))
	}
	out = append(out, otherConditions(r, c.Conditions)...)
	if r.HoursDry != nil && *r.HoursDry < hoursToJudge {
		out = append(out, fmt.Sprintf("read %g h after drying: many prints change for a day; read it again then", *r.HoursDry))
	}
	if r.DryingHours != nil && *r.DryingHours < leastInkHours {
		out = append(out, fmt.Sprintf("the negative dried for %g h: film ink needs a quarter of an hour to a day", *r.DryingHours))
	}
	if r.Exposure != nil && c.Exposure.Given != nil && r.ExposureUnit == c.Exposure.Unit && *r.Exposure != *c.Exposure.Given {
		out = append(out, fmt.Sprintf("exposed for %g %s, the calibration's print for %g: the difference shows in the exposure offset",
			*r.Exposure, r.ExposureUnit, *c.Exposure.Given))
	}
	return out
}
