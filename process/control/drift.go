package control

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"actinic/process/calibration"
	"actinic/process/fault"
)

// DriftOptions say which checks are answered for. The zero value answers for all.
type DriftOptions struct {
	// Last answers for the newest so many checks only: alarms at earlier ones are
	// on the charts, but do not count. 0 is all.
	Last int
}

// DriftReport is what many checks of one setup say over time.
type DriftReport struct {
	Setup  calibration.Setup `json:"setup"`
	Checks []DriftCheck      `json:"checks"` // in the order of time
	Charts []DriftChart      `json:"charts"`
	Fading *Fading           `json:"fading"` // null where the checks do not tell
	// Fired says that a rule fired at a check that is answered for.
	Fired    bool           `json:"fired"`
	Findings []DriftFinding `json:"findings"`
	Verdict  string         `json:"verdict"` // one line
	Remarks  []string       `json:"remarks"`
}

// DriftCheck is one of the checks.
type DriftCheck struct {
	File string    `json:"file"`
	When time.Time `json:"when"` // the print's own time where recorded, else the check's
	// Answered says that its alarms count.
	Answered bool `json:"answered"`
}

// DriftChart is the chart of one quantity.
type DriftChart struct {
	Quantity string `json:"quantity"`
	Name     string `json:"name"`
	Unit     string `json:"unit"`
	// Baseline is null where there were too few checks.
	Baseline *Baseline    `json:"baseline"`
	Points   []DriftPoint `json:"points"`
	Change   *DriftChange `json:"change"` // null where no rule fired
	Runs     []string     `json:"runs"`   // run rules at the newest check, where a rule fired
	// EqualExposure says that the times given were taken off (exposure offset only).
	EqualExposure bool   `json:"at_equal_exposure"`
	Text          string `json:"text"` // one line
}

// Drift draws the control charts of checks of one setup. The order of inputs is
// of no account: they are sorted by time, then by file. It fails where there are
// none, where two are of one print, and where they are of different setups; all
// errors are *fault.Error.
func Drift(inputs []DriftInput, o DriftOptions) (*DriftReport, error) {
	if len(inputs) == 0 {
		return nil, fault.New("", "", "there is no check to look at", "name the files that `actinic check -o` wrote")
	}
	inputs = inOrder(inputs)
	if err := OneSetup(inputs); err != nil {
		return nil, err
	}
	r := &DriftReport{Setup: inputs[len(inputs)-1].Check.Setup, Findings: []DriftFinding{}, Remarks: []string{}}
	for i, in := range inputs {
		r.Checks = append(r.Checks, DriftCheck{in.File, in.When(), o.Last <= 0 || i >= len(inputs)-o.Last})
	}
	for _, q := range quantities {
		r.Charts = append(r.Charts, r.chart(q, inputs))
	}
	r.remarkOnDays()
	r.Fading = fadingOf(inputs)
	r.find(inputs)
	r.Verdict = r.verdict()
	return r, nil
}

// inOrder returns the checks by time, and by file where that is the same.
func inOrder(inputs []DriftInput) []DriftInput {
	inputs = slices.Clone(inputs)
	slices.SortStableFunc(inputs, func(a, b DriftInput) int {
		if c := a.When().Compare(b.When()); c != 0 {
			return c
		}
		return strings.Compare(a.File, b.File)
	})
	return inputs
}

// OneSetup refuses, with a *fault.Error, checks that cannot stand on one chart or
// say how much prints scatter: of different setups, some against another print, or
// two of one print.
func OneSetup(inputs []DriftInput) error {
	if len(inputs) == 0 {
		return nil
	}
	newest := inputs[len(inputs)-1]
	prints := map[string]string{}
	for _, in := range inputs {
		for _, f := range setupFields {
			if got, want := f.of(in.Check.Setup), f.of(newest.Check.Setup); got != want {
				return fault.New(in.File, "field setup",
					fmt.Sprintf("its %s is %s, and that of %s is %s: a chart holds one setup", f.name, quotedField(got), newest.File, quotedField(want)),
					"name the checks of one setup only")
			}
		}
		if (in.Check.Calibration == "") != (newest.Check.Calibration == "") {
			return fault.New(in.File, "", "one of it and "+newest.File+" is against a calibration, the other against another print",
				"name the checks against a calibration only")
		}
		print := printOf(in)
		if other, twice := prints[print]; twice && print != "" {
			return fault.New(in.File, "", "is a check of the same readings as "+other, "name one of the two: a print that counts twice makes the limits too narrow")
		}
		prints[print] = in.File
	}
	return nil
}

// printOf is the hash of the readings, "" where it is not told.
func printOf(in DriftInput) string {
	for _, i := range in.Check.Inputs {
		if i.Name == in.Check.Readings {
			return i.SHA256
		}
	}
	return ""
}

func quotedField(s string) string {
	if s == "" {
		return "not said"
	}
	return fmt.Sprintf("%q", s)
}

// chart judges one quantity over the checks that tell it.
func (r *DriftReport) chart(q quantity, inputs []DriftInput) DriftChart {
	c := DriftChart{Quantity: q.id, Name: q.name, Unit: q.unit, Points: r.points(q, inputs), Runs: []string{}}
	if q.id == QuantityExposure {
		c.EqualExposure = r.atEqualExposure(c.Points, inputs)
	}
	c.Baseline = judge(c.Points, q.averageProbability)
	if b := c.Baseline; b != nil && !(b.MovingRange > 0) {
		r.remark("%s: the first checks all say %g; where nothing scatters nothing can be told from chance", q.name, b.Centre)
		c.unjudge()
	}
	if b := c.Baseline; b != nil {
		r.remarkOnBaseline(c)
		if c.Change = changeOf(c.Points, *b, q.averageProbability); c.Change != nil {
			c.Runs = b.runsAt(c.watched())
		}
	}
	c.Text = c.line()
	return c
}

// unjudge takes the judgement off a chart whose limits mean nothing.
func (c *DriftChart) unjudge() {
	c.Baseline = nil
	for i, p := range c.Points {
		c.Points[i] = DriftPoint{Check: p.Check, Value: p.Value, SD: p.SD, Fired: []string{}}
	}
}

// watched are the values after those that the limits were taken from, and
// the last of these.
func (c *DriftChart) watched() []float64 {
	var values []float64
	for _, p := range c.Points {
		if !p.InLimits {
			values = append(values, p.Value)
		}
	}
	return values
}

// points are the values of a quantity; what is no number is left out, and so is
// what another calibration's aim is in.
func (r *DriftReport) points(q quantity, inputs []DriftInput) []DriftPoint {
	points := []DriftPoint{}
	newest := inputs[len(inputs)-1].calibration()
	otherAim := 0
	for i, in := range inputs {
		v := q.of(in.Check)
		if v == nil || !sane(*v) {
			continue
		}
		if q.ofCalibration && in.calibration() != newest {
			otherAim++
			continue
		}
		points = append(points, DriftPoint{Check: i + 1, Value: v.Value, SD: v.SD, Fired: []string{}})
	}
	if otherAim > 0 {
		r.remark("%s: %d of the checks are against another calibration than the newest, and left out here", q.name, otherAim)
	}
	return points
}

// sane says whether a value is one that a print can have: files may hold others.
func sane(v Value) bool {
	return math.Abs(v.Value) <= mostLstar && v.SD >= 0 && v.SD <= mostLstar
}

// atEqualExposure takes the exposures given off the offsets, where all are told.
func (r *DriftReport) atEqualExposure(points []DriftPoint, inputs []DriftInput) bool {
	by, known := equalExposure(inputs)
	if known {
		for i := range points {
			points[i].Value -= by[points[i].Check-1]
		}
		return slices.ContainsFunc(by, func(b float64) bool { return b != 0 })
	}
	given := map[float64]bool{}
	for _, in := range inputs {
		if e := in.Check.Record.Exposure; e != nil {
			given[*e] = true
		}
	}
	if len(given) > 1 {
		r.remark("exposure offset: the exposures differ, and not every check records its own; a lamp that ages may hide behind longer times")
	}
	return false
}

// remarkOnBaseline names a check that makes the limits wide.
func (r *DriftReport) remarkOnBaseline(c DriftChart) {
	var values []float64
	var checks []int
	for _, p := range c.Points {
		if p.InLimits {
			values, checks = append(values, p.Value), append(checks, p.Check)
		}
	}
	if i := standsOut(values); i >= 0 {
		r.remark("%s: %s stands apart from the others that the limits are taken from, which makes them wide; leave it out if you know what went wrong",
			c.Name, r.Checks[checks[i]-1].File)
	}
}

// fewestDays is on how many days the checks that limits are taken from should be
// made: a working value of ours.
const fewestDays = 5

// remarkOnDays warns of limits from a few sittings: prints of one day are more
// alike than those of several.
func (r *DriftReport) remarkOnDays() {
	for _, c := range r.Charts {
		if c.Baseline == nil {
			continue
		}
		days := map[string]bool{}
		for _, p := range c.Points {
			if p.InLimits {
				days[r.Checks[p.Check-1].When.Format(time.DateOnly)] = true
			}
		}
		if len(days) < fewestDays {
			r.remark("the limits are from prints of %s only; days differ more than prints of one day, so expect more false alarms", daysText(len(days)))
		}
		return
	}
}

func (r *DriftReport) remark(format string, args ...any) {
	r.Remarks = append(r.Remarks, fmt.Sprintf(format, args...))
}
