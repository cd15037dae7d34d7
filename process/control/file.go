package control

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"actinic/process/calibration"
	"actinic/process/document"
	"actinic/process/fault"
)

// The file's name for itself.
const (
	FileFormat  = "actinic check"
	FileVersion = 1
)

// fileForm is the check's file; ours are under 50 kB.
var fileForm = document.Form{Format: FileFormat, Version: FileVersion, Noun: "a check", Command: "actinic check",
	File: "NAME.check.json", MostMiB: 4}

// Value is a quantity with its standard uncertainty in the same unit; a nil
// pointer to one is a quantity that is not known, null in the file.
type Value = calibration.Value

// Check is one print held against its aim, as its file holds it. Differences are
// the print less its aim, in L*: below 0 the print is darker.
type Check struct {
	Format  string              `json:"format"`
	Version int                 `json:"version"`
	Made    time.Time           `json:"made"`
	Inputs  []calibration.Input `json:"inputs"`

	Readings    string            `json:"readings"`    // base name of the file
	Calibration string            `json:"calibration"` // base name; "" against another print
	Against     string            `json:"against"`     // base name of the other print's readings; else ""
	Setup       calibration.Setup `json:"setup"`       // the calibration's; empty against another print
	Record      Record            `json:"record"`

	Patches []Patch `json:"patches"`
	Summary
	Fitted
	UVDensity []UV `json:"uv_density"` // by film ink, as this print sees it; empty where not known

	Tolerance Tolerance `json:"tolerance"`
	Inside    bool      `json:"inside"`
	Answer    Answer    `json:"answer"`
	Cast      *Cast     `json:"cast"` // null where the readings have no colour
	Warnings  []string  `json:"warnings"`

	alone           []string // patches that were left out, and by which alone it is out of tolerance
	withoutExposure float64  // worst difference, L*, when the exposure alone is taken off
}

// Summary is what the differences say by themselves, patches that are spoiled
// left out; but one that is the only one of its tone is the worst, where all others
// are inside the tolerance.
type Summary struct {
	Worst          string  `json:"worst_patch"` // its id
	WorstBy        float64 `json:"worst_lstar"` // signed
	Shift          Value   `json:"lightness_shift_lstar"`
	Spread         float64 `json:"rms_lstar"` // of all differences, the shift among them
	DarkBias       *Value  `json:"dark_bias_lstar"`
	LightBias      *Value  `json:"light_bias_lstar"`
	Black          *Tone   `json:"black"`           // the patches within 5 L* of the darkest
	MidTone        *Tone   `json:"mid_tone"`        // those in the middle third of the scale
	Paper          *Tone   `json:"paper_white"`     // those within 5 L* of the lightest
	MaximumDensity *Value  `json:"maximum_density"` // print density of Black as read, paper included
}

// Tone is a part of the tone scale, L*: what was read, with its doubt, and that
// less the aim.
type Tone struct {
	Read       float64 `json:"read_lstar"`
	SD         float64 `json:"sd_lstar"`
	Aim        float64 `json:"aim_lstar"`
	Difference float64 `json:"difference_lstar"`
}

// Patch is one patch of the print.
type Patch struct {
	ID         string   `json:"patch"`
	Tone       *float64 `json:"tone"` // picture tone, where the patch is of a strip
	Ink        *float64 `json:"ink"`  // film ink, %; null against another print without it
	Aim        float64  `json:"aim_lstar"`
	AimSD      float64  `json:"aim_sd_lstar"`
	Read       float64  `json:"read_lstar"`
	SD         float64  `json:"sd_lstar"`
	Difference float64  `json:"difference_lstar"`
	Left       *float64 `json:"left_lstar"` // when exposure, contrast, paper and black are taken off
	Spoiled    bool     `json:"spoiled"`    // fits nothing: dust, a pinhole, a slip of the pen; left out
}

// Fitted is how the print differs, as far as the calibration's characteristic
// curve tells. All are null, with the reason in NotFitted, where it has none.
type Fitted struct {
	// ExposureOffset is log10 of this print's exposure over that which its aim is
	// for: above 0 it got more.
	ExposureOffset *Value `json:"exposure_offset"`
	// Contrast is the stretch of log exposure about -1: 0.1 is a tenth harder.
	Contrast *Value `json:"contrast"`
	// PaperDensity and Depth are the differences in paper density and in net
	// maximum density (log10).
	PaperDensity *Value   `json:"paper_density_difference"`
	Depth        *Value   `json:"net_density_difference"`
	ShapeError   *float64 `json:"shape_lstar"` // rms of what these leave
	TimeFactor   *Value   `json:"time_factor"` // on the exposure time of the next print
	NewTime      *Value   `json:"new_time"`    // null where this print's time is not known
	TimeUnit     string   `json:"time_unit"`   // of NewTime: "s" or "lamp units"
	NotFitted    string   `json:"not_fitted"`  // a sentence; "" where fitted
}

// UV is the UV density of one film ink as this print saw it, exposure and
// contrast as the whole print has them not taken off: what a fading negative
// loses.
type UV struct {
	Ink      float64 `json:"ink"`      // %
	Read     Value   `json:"read"`     // log10
	Expected float64 `json:"expected"` // log10, the calibration's
}

// Tolerance is how far a patch may lie from its aim.
type Tolerance struct {
	Lstar  float64 `json:"lstar"`
	Source string  `json:"source"` // a clause: "given", "your own repeats", ...
}

// The kinds of answer.
const (
	Nothing  = "nothing"     // inside: print on
	Time     = "time"        // another exposure time
	Contrast = "contrast"    // contrast changed: humidity, developer, dichromate
	Black    = "black"       // maximum density changed: coating
	Paper    = "paper"       // paper white changed: fog, clearing
	NewRamp  = "new ramp"    // the shape changed: calibrate again
	Again    = "again"       // outside, yet what honest prints scatter: print once more
	Unknown  = "cannot tell" // several explain it
)

// Answer is what to do.
type Answer struct {
	Kind string `json:"kind"`
	Text string `json:"text"` // one line
	// Explanations are the kinds that explain the differences, the likeliest first,
	// with their shares of belief, 0 to 1.
	Explanations []Explanation `json:"explanations"`
}

// Explanation is one kind of answer and how far it is believed.
type Explanation struct {
	Kind  string  `json:"kind"`
	Share float64 `json:"share"`
}

// Encode writes the check as indented JSON.
func (c *Check) Encode(w io.Writer) error {
	text, err := json.MarshalIndent(c, "", " ")
	if err != nil {
		return fmt.Errorf("control: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// DecodeCheck reads a check; name is for messages. A higher version and fields
// that it does not know are refused, and numbers that do not hang together.
// Errors are *fault.Error.
func DecodeCheck(r io.Reader, name string) (*Check, error) {
	var c Check
	if err := fileForm.Decode(r, name, &c); err != nil {
		return nil, err
	}
	c.Version = FileVersion
	return &c, c.check(name)
}

// Bounds of what a file may say.
const (
	mostPatches = 10_000
	mostLstar   = 1000
)

// check refuses numbers that no check of ours holds.
func (c *Check) check(name string) error {
	bad := func(where, what string) error { return fault.New(name, where, what, fileForm.AsWritten()) }
	if n := len(c.Patches); n < 1 || n > mostPatches {
		return bad("field patches", fmt.Sprintf("found %d, expected 1 to %d", n, mostPatches))
	}
	seen := map[string]bool{}
	for _, p := range c.Patches {
		if p.ID == "" || seen[p.ID] {
			return bad("field patches", fmt.Sprintf("patch %q: expected a name of its own for each", p.ID))
		}
		seen[p.ID] = true
		for _, v := range []float64{p.Aim, p.AimSD, p.Read, p.SD, p.Difference} {
			if !(math.Abs(v) <= mostLstar) {
				return bad("field patches", fmt.Sprintf("patch %s: found %g, expected L*", p.ID, v))
			}
		}
	}
	for _, f := range []struct {
		name string
		v    *Value
	}{{"exposure_offset", c.ExposureOffset}, {"contrast", c.Contrast}, {"maximum_density", c.MaximumDensity}} {
		if f.v != nil && !(math.Abs(f.v.Value) <= mostLstar && f.v.SD >= 0 && f.v.SD <= mostLstar) {
			return bad("field "+f.name, "expected a value with a doubt of 0 or more")
		}
	}
	return c.Record.check(bad)
}
