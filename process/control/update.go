package control

import (
	"fmt"
	"math"
	"time"

	"actinic/process/calibration"
	"actinic/process/fault"
)

// printScatter is how much the exposures of honest prints differ, log10; less than
// twice that beyond the check's own doubt is no reason to move a calibration.
const printScatter = 0.03

// Update returns a copy of the calibration whose exposure is that which brings the
// checked print to its aim: exposure given and first black move, the curve stays.
// What is said to the user comes back as a sentence.
//
// It fails with *fault.Error where the check does not say that exposure, and only
// that, changed; where the change is within what prints scatter; and where neither
// of them knows an exposure time.
func (c *Check) Update(old *calibration.Calibration, made time.Time) (*calibration.Calibration, string, error) {
	if err := c.updatable(); err != nil {
		return nil, "", err
	}
	from := old.Exposure.Given
	if c.Record.Exposure != nil {
		from = c.Record.Exposure
	}
	switch {
	case from == nil:
		return nil, "", fault.New(c.Calibration, "", "knows no exposure time to move", "give the time of the checked print with --exposure")
	case c.Record.Exposure != nil && old.Exposure.Given != nil && c.Record.ExposureUnit != old.Exposure.Unit:
		return nil, "", fault.New(c.Calibration, "", fmt.Sprintf("counts exposure in %s, the check in %s", old.Exposure.Unit, c.Record.ExposureUnit), "give --exposure in the calibration's unit")
	}
	given := *from * c.TimeFactor.Value
	updated := *old
	updated.Made = made.UTC().Truncate(time.Second)
	updated.Inputs = append(append([]calibration.Input{}, old.Inputs...), c.Inputs...)
	updated.Exposure.Given = &given
	if updated.Exposure.Unit == "" {
		updated.Exposure.Unit = c.Record.ExposureUnit
	}
	if first := old.Exposure.FirstBlack; first != nil && old.Exposure.Given != nil {
		by := given / *old.Exposure.Given
		value := first.Value * by
		doubt := math.Hypot(first.SD/first.Value, math.Ln10*math.Hypot(c.ExposureOffset.SD, printScatter))
		updated.Exposure.FirstBlack = &Value{Value: value, SD: value * doubt}
	}
	said := fmt.Sprintf("exposure set to %.4g %s by the check of %s (time x%.2f +- %.2f); the curve is unchanged",
		given, updated.Exposure.Unit, c.Readings, c.TimeFactor.Value, c.TimeFactor.SD)
	updated.Cautions = append(append([]string{}, old.Cautions...), said)
	return &updated, said, nil
}

// updatable refuses a check that is no reason to move the exposure.
func (c *Check) updatable() error {
	const hint = "see what the check says to do; a print whose shape differs needs a new ramp"
	switch {
	case c.ExposureOffset == nil:
		return fault.New(c.Readings, "", "does not tell the exposure: "+c.NotFitted, hint)
	case c.Answer.Kind != Time && c.Answer.Kind != Nothing:
		return fault.New(c.Readings, "", "is no reason to move the exposure alone: "+c.Answer.Text, hint)
	case len(c.Answer.Explanations) > 0 && c.Answer.Explanations[0].Kind != Time && c.Answer.Explanations[0].Kind != Again:
		return fault.New(c.Readings, "", "does not differ in exposure alone, as far as it tells: "+explanationWords[c.Answer.Explanations[0].Kind], hint)
	case math.Abs(c.ExposureOffset.Value) < 2*math.Hypot(c.ExposureOffset.SD, printScatter):
		return fault.New(c.Readings, "", fmt.Sprintf("differs in exposure by %+.3f (log10) only, within what prints scatter: nothing to update", c.ExposureOffset.Value), "keep the calibration")
	}
	return nil
}
