package calibration

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// FirstBlack is what a test strip of exposures says: the shortest exposure that
// brings clear film to the end of the print's scale. That end is black or, where
// prints lighten with exposure, paper white.
type FirstBlack struct {
	Readings string  `json:"readings"` // base name of the file
	Strips   int     `json:"strips"`   // different exposures, unexposed paper not counted
	Unit     string  `json:"exposure_unit"`
	Shortest float64 `json:"shortest_strip"`
	Longest  float64 `json:"longest_strip"`
	// Falling: prints lighten with exposure. Then FirstWhite is known and Black
	// is null, else the other way round.
	Falling bool     `json:"print_density_falls_with_exposure"`
	Black   Optional `json:"first_black"`
	White   Optional `json:"first_white"`
	// Low and High hold the answer 95 times in 100.
	Low  float64 `json:"low"`
	High float64 `json:"high"`

	PaperRead      bool     `json:"paper_read"` // unexposed paper was among the readings
	PaperDensity   Optional `json:"paper_density"`
	MaximumDensity Optional `json:"maximum_density"`

	Reversed *StripReversal `json:"reversed"` // null where tone does not turn back
	Outliers []Outlier      `json:"outliers"`
	Next     *NextStrip     `json:"next_plan"` // null where this strip is good enough
	Notices  []string       `json:"notices"`
}

// StripReversal says that longer exposure turned the tone back.
type StripReversal struct {
	Patches []string `json:"patches"`   // that turned back, the longest exposure first
	By      float64  `json:"by"`        // at most, in Unit
	Unit    string   `json:"unit"`      // "L*" or "density"
	From    float64  `json:"from"`      // the shortest exposure that turned back
	Longest float64  `json:"last_good"` // the longest that did not
}

// NextStrip is a plan for a strip that would tell more, and why.
type NextStrip struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Strips int     `json:"strips"`
	Reason string  `json:"reason"` // a clause: "the answer rests on the longest strip alone"
}

// Answer returns the exposure that was looked for, with its standard uncertainty.
func (f *FirstBlack) Answer() Value {
	if f.Falling {
		return *f.White
	}
	return *f.Black
}

// End names what the answer reaches: "black" or "paper white".
func (f *FirstBlack) End() string { return endOf(f.Falling) }

func endOf(falling bool) string {
	if falling {
		return "paper white"
	}
	return "black"
}

// FindFirstBlack finds the shortest exposure that reaches black through clear
// film, from a table of kind Exposures; where falling, the shortest that reaches
// paper white. Every area of the strip counts as a step of a tablet whose density
// is the log of the longest exposure over its own: doubling the time is taken for
// 0.30. Unexposed paper may be among the readings.
//
// Areas that their file flags as not to be trusted, and the most exposed ones that
// turn back, are left out and named. The error is a
// *fault.Error where there are fewer than sensitometry.LeastStrips exposures, no
// tone, readings that run the wrong way, or an end that the strip does not reach.
func FindFirstBlack(t *measure.Table, falling bool) (*FirstBlack, error) {
	t, notices := withoutFlagged(t)
	if err := checkStrip(t, falling); err != nil {
		return nil, err
	}
	s := newStrip(t, falling)
	if err := s.trim(); err != nil {
		return nil, err
	}
	e, err := s.fit()
	if err != nil {
		return nil, fmt.Errorf("the fit did not settle: %w", err)
	}
	if err := s.checkReached(e); err != nil {
		return nil, err
	}
	f := s.summary(e)
	f.Notices = append(notices, f.Notices...)
	return f, nil
}

// withoutFlagged leaves out the areas that their file flags, if enough are left.
func withoutFlagged(t *measure.Table) (*measure.Table, []string) {
	rest, flagged := splitFlagged(t)
	if flagged.Readings == nil {
		return t, nil
	}
	if flagged.Used = measure.CheckCount(rest, sensitometry.LeastStrips+1, "") != nil; flagged.Used {
		rest = t
	}
	return rest, []string{flagged.String()}
}

func checkStrip(t *measure.Table, falling bool) error {
	if err := measure.CheckKind(t, measure.Exposures); err != nil {
		return err
	}
	lit := *t
	lit.Readings = nil
	for _, r := range t.Readings {
		if r.Exposure.Amount > 0 {
			lit.Readings = append(lit.Readings, r)
		}
	}
	if err := measure.CheckCount(&lit, sensitometry.LeastStrips, "a curve has a toe, a slope and a shoulder to be told apart"); err != nil {
		return err
	}
	if err := checkStripSpan(&lit); err != nil {
		return err
	}
	if err := checkStripRange(t); err != nil {
		return err
	}
	return measure.CheckSense(t, !falling)
}

// checkStripSpan refuses exposures that cannot be of one strip: a slip of the pen,
// mostly.
func checkStripSpan(lit *measure.Table) error {
	shortest, longest := lit.Readings[0].Exposure, lit.Readings[0].Exposure
	for _, r := range lit.Readings {
		if r.Exposure.Amount < shortest.Amount {
			shortest = r.Exposure
		}
		if r.Exposure.Amount > longest.Amount {
			longest = r.Exposure
		}
	}
	if longest.Amount <= mostStripSpan*shortest.Amount {
		return nil
	}
	return fault.New(lit.File, "", fmt.Sprintf("exposures from %g to %g %s, expected the longest at most %d times the shortest",
		shortest.Amount, longest.Amount, longest.Unit, mostStripSpan), "look for a slip of the pen; unexposed paper has exposure 0")
}

// mostStripSpan is thirteen stops: more than any paper tells apart (a working
// value of ours). It also keeps every strip clear of what stands for unexposed.
const mostStripSpan = 10000

// checkStripRange refuses a strip without tone.
func checkStripRange(t *measure.Table) error {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range t.Readings {
		l := float64(r.Lightness())
		low, high = math.Min(low, l), math.Max(high, l)
	}
	if high-low >= leastStripTones {
		return nil
	}
	return fault.New(t.File, "", fmt.Sprintf("the strips differ by %.1f L* only, expected at least %d", high-low, leastStripTones),
		"expose a strip that spans more: longer where all are light, shorter where all are dark")
}

// leastStripTones is the span of L* below which a strip shows no curve. A strip
// about first black spans less than a whole print does.
const leastStripTones = 5

// summary says what the fit found. The end has been reached.
func (s *strip) summary(e *Estimate) *FirstBlack {
	f := s.figures
	x := s.end(e)
	answer := Value{s.reference * math.Pow(10, x.Value), 0}
	answer.SD = answer.Value * math.Ln10 * x.SD
	f.Black, f.White = &answer, nil
	if s.falling {
		f.Black, f.White = nil, &answer
	}
	f.Low = answer.Value * math.Pow(10, -coverage95*x.SD)
	f.High = answer.Value * math.Pow(10, coverage95*x.SD)
	m := e.Sensitometry()
	f.PaperDensity, f.MaximumDensity = known(m.PaperDensity), known(m.MaximumDensity)
	f.Outliers = append([]Outlier{}, e.Outliers()...)
	f.Notices = append(append([]string{}, s.table.Notices...), s.notices(e)...)
	f.Next = s.next(answer, x.SD)
	return &f
}

// end is the log exposure of the end that is looked for, against the reference.
func (s *strip) end(e *Estimate) Value {
	if s.falling {
		return e.Sensitometry().Toe
	}
	return e.Sensitometry().Black
}

// notices says what the readings leave to what is usual.
func (s *strip) notices(e *Estimate) []string {
	var out []string
	if !e.fit.atRest {
		out = append(out, "the fit had not come to rest: take its doubt as too small, and look for odd readings")
	}
	lightest := density.Density(math.Inf(1))
	for _, r := range s.table.Readings {
		lightest = min(lightest, r.Density())
	}
	if paper := e.Curve().Paper; !s.falling && lightest > paper+farFromPaper {
		out = append(out, fmt.Sprintf("no strip comes near paper white: a paper density of %.2f was taken, which moves the answer by little; a reading of unexposed paper (exposure 0) would tell", paper))
	}
	return out
}

// farFromPaper is how far above the paper the lightest strip may lie before the
// paper is said to be a guess.
const farFromPaper = 0.3
