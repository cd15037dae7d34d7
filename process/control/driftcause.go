package control

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// DriftFinding is an alarm in words.
type DriftFinding struct {
	Quantity string    `json:"quantity"`
	File     string    `json:"file"` // the check at which a rule first fired
	When     time.Time `json:"when"`
	Rules    []string  `json:"rules"`
	Runs     []string  `json:"runs"` // run rules that its newest checks meet as well
	Text     string    `json:"text"`
	// Causes are what is likely behind it, what the records say first.
	Causes []string `json:"causes"`
}

// find puts the alarms that are answered for into words.
func (r *DriftReport) find(inputs []DriftInput) {
	moved := map[string]*DriftChange{}
	for _, c := range r.Charts {
		if c.Change != nil {
			moved[c.Quantity] = c.Change
		}
	}
	for _, c := range r.Charts {
		i := r.firstAnswered(c)
		if i < 0 {
			continue
		}
		r.Fired = true
		p := c.Points[i]
		check := r.Checks[p.Check-1]
		r.Findings = append(r.Findings, DriftFinding{
			Quantity: c.Quantity, File: check.File, When: check.When, Rules: p.Fired, Runs: c.Runs,
			Text:   c.told(r.Checks),
			Causes: append(recordedCauses(inputs, c.Change.Since-1), likelyCauses(c.Quantity, moved, r.Fading)...),
		})
	}
}

// firstAnswered is the first point of a chart at which a rule fired and that is
// answered for, or -1.
func (r *DriftReport) firstAnswered(c DriftChart) int {
	return slices.IndexFunc(c.Points, func(p DriftPoint) bool {
		return len(p.Fired) > 0 && r.Checks[p.Check-1].Answered
	})
}

// recordedCauses says what the records of a check have otherwise than the ones before.
func recordedCauses(inputs []DriftInput, check int) []string {
	if check < 1 {
		return nil
	}
	now, before := inputs[check].Check, inputs[check-1].Check
	var causes []string
	for _, f := range []struct{ name, now, before string }{
		{"film batch", now.Record.FilmBatch, before.Record.FilmBatch},
		{"ink batch", now.Record.InkBatch, before.Record.InkBatch},
		{"coats", now.Record.Coats, before.Record.Coats},
		{"toning", now.Record.Toning, before.Record.Toning},
	} {
		if f.now != f.before && f.now != "" && f.before != "" {
			causes = append(causes, fmt.Sprintf("the %s went from %s to %s at that check", f.name, f.before, f.now))
		}
	}
	if h, was := now.Record.Humidity, usualHumidity(inputs[:check]); h != nil && was != nil && math.Abs(*h-*was) >= tellingHumidity {
		causes = append(causes, fmt.Sprintf("humidity was %.0f %%, and %.0f %% on average before", *h, *was))
	}
	return causes
}

// tellingHumidity is a difference, in per cent, that is worth naming: a working
// value of ours.
const tellingHumidity = 10

func usualHumidity(inputs []DriftInput) *float64 {
	sum, n := 0.0, 0
	for _, in := range inputs {
		if h := in.Check.Record.Humidity; h != nil {
			sum, n = sum+*h, n+1
		}
	}
	if n == 0 {
		return nil
	}
	return some(sum / float64(n))
}

// likelyCauses returns the causes of a change, the likeliest first. Which quantity
// moves alone and which move together is how photographic laboratories read their
// control strips; what the words name is common practice, no source.
func likelyCauses(id string, moved map[string]*DriftChange, fading *Fading) []string {
	c := moved[id]
	up := c.By.Value > 0
	switch id {
	case QuantityExposure:
		return append(fadingFirst(up, fading), exposureCauses(c.Kind, up)...)
	case QuantityDensity:
		return densityCauses(up, moved[QuantityPaper] != nil)
	case QuantityPaper:
		return paperCauses(up, moved[QuantityDensity] != nil)
	}
	if moved[QuantityExposure] != nil {
		return []string{"the exposure, see there: the mid-tones follow it"}
	}
	return append(fadingFirst(!up, fading),
		"contrast, where black and paper are as they were: humidity, developer, dichromate or its age",
		"another ink, film or driver setting: print and read a ramp anew")
}

func fadingFirst(more bool, fading *Fading) []string {
	if more && fading != nil && fading.Sure && fading.ShareADay.Value < 0 {
		return []string{"the negative: its UV density falls with its age"}
	}
	return nil
}

func exposureCauses(kind string, more bool) []string {
	slow, sudden := "the lamp ages, or its reflector and glass gather dust", "a shorter time, a lamp farther off or not warm, another glass, or drier paper"
	if more {
		slow, sudden = "paper that gets damper with the season, or a negative that fades", "a longer time, a new or nearer lamp, damper paper, or a new batch of sensitiser"
	}
	switch kind {
	case ChangeSlow:
		return []string{slow}
	case ChangeOnce:
		return []string{"that one exposure: timer, lamp, humidity or contact in the frame"}
	case ChangeSudden, ChangeBackNow:
		return []string{sudden}
	}
	return []string{sudden, slow}
}

func densityCauses(up, paperToo bool) []string {
	switch {
	case paperToo:
		return []string{"new chemistry, another paper, or baths at another temperature or age: paper white moved as well"}
	case up:
		return []string{"a heavier coat, or a new batch of sensitiser"}
	}
	return []string{"a thinner coat, old sensitiser, or paper that was too dry or heat-dried"}
}

func paperCauses(up, blackToo bool) []string {
	switch {
	case blackToo:
		return []string{"new chemistry, another paper, or baths at another temperature or age: maximum density moved as well"}
	case up:
		return []string{"another paper, longer clearing, or the scanner"}
	}
	return []string{"fog: stray light, damp, or old sensitiser", "clearing that was too short or exhausted", "another paper, or the scanner"}
}

// told says what became of a quantity, of a chart with a change.
func (c DriftChart) told(checks []DriftCheck) string {
	since := checks[c.Change.Since-1]
	moved := c.by(c.Change.By)
	when := since.File + ", " + since.When.Format(time.DateOnly)
	switch c.Change.Kind {
	case ChangeOnce:
		return moved + " once, at " + when
	case ChangeBackNow:
		return moved + " from " + when + "; back again at the newest check"
	case ChangeSlow:
		return moved + " bit by bit since " + when
	case ChangeSudden:
		return moved + " at one go, at " + when
	}
	return moved + " since about " + when
}

// by words how far a quantity moved, with its doubt.
func (c DriftChart) by(v Value) string {
	amount, doubt := math.Abs(v.Value), v.SD
	up := v.Value > 0
	switch c.Quantity {
	case QuantityExposure:
		return fmt.Sprintf("%s exposure by %.2f +- %.2f log10, a factor of %.2f,", either(up, "more", "less"), amount, doubt, math.Pow(10, v.Value))
	case QuantityDensity:
		return fmt.Sprintf("%s black by %.2f +- %.2f log10", either(up, "stronger", "weaker"), amount, doubt)
	}
	return fmt.Sprintf("%s by %.1f +- %.1f L*", either(up, "lighter", "darker"), amount, doubt)
}

func either(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

// line is a quantity in one line.
func (c DriftChart) line() string {
	n := len(c.Points)
	b := c.Baseline
	switch {
	case n == 0:
		return "no check tells it"
	case b == nil && n <= leastBaseline:
		return fmt.Sprintf("newest %s; %d of the %d checks that a judgement needs at the least", c.number(c.Points[n-1].Value), n, leastBaseline+1)
	case b == nil:
		return fmt.Sprintf("newest %s; no limits", c.number(c.Points[n-1].Value))
	}
	p := c.Points[n-1]
	text := fmt.Sprintf("newest %s", c.number(p.Value))
	if p.Low != nil {
		text += fmt.Sprintf(", limits %s to %s", c.number(*p.Low), c.number(*p.High))
	}
	text += fmt.Sprintf(" from %d checks (scatter %s)", b.Count, strings.TrimPrefix(c.number(b.SD), "+"))
	if first, _ := struck(c.Points); first < 0 {
		return text + ": steady"
	}
	return text + ": " + either(c.Change.Standing, "moved", "moved, and back")
}

// number writes a value of the chart with its sign where it is a difference.
func (c DriftChart) number(v float64) string {
	switch c.Quantity {
	case QuantityExposure:
		return fmt.Sprintf("%+.3f", v)
	case QuantityDensity:
		return fmt.Sprintf("%.3f", v)
	case QuantityPaper:
		return fmt.Sprintf("%.1f L*", v)
	}
	return fmt.Sprintf("%+.1f L*", v)
}

func checks(n int) string {
	if n == 1 {
		return "1 check"
	}
	return fmt.Sprintf("%d checks", n)
}

func daysText(n int) string {
	if n == 1 {
		return "one day"
	}
	return fmt.Sprintf("%d days", n)
}

// told says whether the checks tell any quantity at all.
func (r *DriftReport) told() bool {
	return slices.ContainsFunc(r.Charts, func(c DriftChart) bool { return len(c.Points) > 0 })
}

// verdict is the report in one line.
func (r *DriftReport) verdict() string {
	v := r.chartVerdict()
	if r.Fading != nil && r.Fading.Sure && r.Fading.ShareADay.Value < 0 {
		v += "; the negatives fade"
	}
	return v
}

func (r *DriftReport) chartVerdict() string {
	most := 0
	for _, c := range r.Charts {
		if c.Baseline != nil {
			most = max(most, c.Baseline.Count)
		}
	}
	n := len(r.Checks)
	switch {
	case r.Fired:
		var names []string
		for _, f := range r.Findings {
			names = append(names, f.Name())
		}
		return "the setup moved: " + strings.Join(names, ", ")
	case !r.told():
		return "none of " + checks(n) + " tells anything that a chart could hold"
	case most == 0:
		return fmt.Sprintf("%s: too few to tell a change from chance; %d is the least, %d are better", checks(n), leastBaseline+1, wantedBaseline+1)
	case most < wantedBaseline:
		return fmt.Sprintf("nothing stands out, but %d checks show only large changes: limits want %d", n, wantedBaseline)
	case n == wantedBaseline:
		return "nothing stands out in the ten checks that the limits are taken from; the next one is the first to be held against them"
	}
	return "steady: no rule fired"
}
