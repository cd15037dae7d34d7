package control

import (
	"math"
	"strings"
	"time"

	"actinic/process/calibration"
)

// The quantities that are charted.
const (
	QuantityExposure = "exposure_offset"
	QuantityDensity  = "maximum_density"
	QuantityPaper    = "paper_white"
	QuantityMidTone  = "mid_tone"
)

// quantity is one thing that is charted: how it is called, and what a check says
// of it.
type quantity struct {
	id, name, unit string
	// averageProbability is that of a false alarm of the moving average at one
	// check: working values of ours, see the rules.
	averageProbability float64
	// ofCalibration says that the aim's own calibration is in it: checks against
	// another one are on another scale.
	ofCalibration bool
	of            func(*Check) *Value
}

var quantities = []quantity{
	{QuantityExposure, "exposure offset", "log10", 0.015, true, exposureOf},
	{QuantityDensity, "maximum density", "log10", 0.004, false, func(c *Check) *Value { return c.MaximumDensity }},
	{QuantityPaper, "paper white", "L*", 0.004, false, func(c *Check) *Value { return toneRead(c.Paper) }},
	{QuantityMidTone, "mid-tone", "L*", 0.004, true, midToneOf},
}

// Name is the quantity of a finding as a text has it.
func (f DriftFinding) Name() string {
	for _, q := range quantities {
		if q.id == f.Quantity {
			return q.name
		}
	}
	return strings.ReplaceAll(f.Quantity, "_", " ")
}

func exposureOf(c *Check) *Value { return c.ExposureOffset }

func toneRead(t *Tone) *Value {
	if t == nil {
		return nil
	}
	return &Value{Value: t.Read, SD: t.SD}
}

// midToneOf is the mid-tone less its aim, so that ramps and strips go on one
// chart.
func midToneOf(c *Check) *Value {
	if c.MidTone == nil {
		return nil
	}
	return &Value{Value: c.MidTone.Difference, SD: c.MidTone.SD}
}

// DriftInput is a check with the name of its file.
type DriftInput struct {
	File  string
	Check *Check
}

// When is the time that a check counts from: when the print was made, where that
// was recorded.
func (in DriftInput) When() time.Time {
	if in.Check.Record.Printed != nil {
		return *in.Check.Record.Printed
	}
	return in.Check.Made
}

// calibration is the hash of the calibration that the check was held against, ""
// where it is not told.
func (in DriftInput) calibration() string {
	for _, i := range in.Check.Inputs {
		if i.Name == in.Check.Calibration {
			return i.SHA256
		}
	}
	return ""
}

// equalExposure returns by how much the exposure of each check must be taken
// down to that of the first, in log10, and whether all of them tell theirs in one
// unit. A lamp that ages shows in the offset only until the time is made longer;
// at equal exposure it shows for good.
func equalExposure(inputs []DriftInput) (by []float64, known bool) {
	first := inputs[0].Check.Record
	for _, in := range inputs {
		r := in.Check.Record
		if r.Exposure == nil || !(*r.Exposure > 0 && *r.Exposure <= mostExposure) || r.ExposureUnit != first.ExposureUnit {
			return nil, false
		}
		by = append(by, math.Log10(*r.Exposure / *first.Exposure))
	}
	return by, true
}

// mostExposure is more than any lamp is left on for, in seconds or lamp units.
const mostExposure = 1e9

// setupField is one field of a setup by which checks are told apart. Batches of
// ink are not among them: whether a new one prints alike is what drift is for.
type setupField struct {
	name string
	of   func(calibration.Setup) string
}

var setupFields = []setupField{
	{"process", func(s calibration.Setup) string { return s.Process }},
	{"printer", func(s calibration.Setup) string { return s.Printer }},
	{"film", func(s calibration.Setup) string { return s.Film }},
	{"ink colour", func(s calibration.Setup) string { return s.InkColour }},
	{"paper", func(s calibration.Setup) string { return s.Paper }},
	{"lamp", func(s calibration.Setup) string { return s.Lamp }},
	{"coats", func(s calibration.Setup) string { return s.Coats }},
	{"toning", func(s calibration.Setup) string { return s.Toning }},
}
