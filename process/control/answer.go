package control

import (
	"fmt"
	"math"
	"strings"
)

// surely is the share of belief from which an explanation is given as the answer
// (a working value of ours).
const surely = 0.8

// answer says in one line what to do.
func (c *Check) answer(why []Explanation) Answer {
	a := Answer{Explanations: why}
	if len(c.alone) > 0 {
		a.Kind, a.Text = Again, c.aloneText()
		return a
	}
	switch {
	case c.Inside:
		a.Kind = Nothing
	default:
		a.Kind = settled(why)
		if a.Kind != Time && c.timeMends(why) {
			a.Kind = Time
		}
	}
	a.Text = c.answerText(a.Kind, why) + c.spoiledWords()
	return a
}

// aloneText asks for patches that were left out, where nothing else is off.
func (c *Check) aloneText() string {
	if len(c.alone) == 1 {
		return fmt.Sprintf("read patch %s again: it alone is off, by %+.1f L*, as a finger mark or a slip would be; if it stands, a new ramp", c.Worst, c.WorstBy)
	}
	return "read patches " + strings.Join(c.alone, ", ") + " again: they alone are off, as marks or a mixed order would be; if they stand, a new ramp"
}

// timeMends says that a print is out of tolerance by its exposure alone, whether
// honest scatter or something in earnest moved it: another time is what there is to
// do, and its text says that prints scatter as much.
func (c *Check) timeMends(why []Explanation) bool {
	e := c.ExposureOffset
	return e != nil && math.Abs(e.Value) >= 2*e.SD && c.withoutExposure <= c.Tolerance.Lstar &&
		shareOf(Time, why)+shareOf(Again, why) >= surely
}

// settled is the explanation to act on: the likeliest, where all that speaks
// against it is honest scatter, which is always there. Scatter itself must be sure.
func settled(why []Explanation) string {
	if len(why) == 0 {
		return Unknown
	}
	against := 1 - why[0].Share - shareOf(Again, why)
	if why[0].Kind == Again {
		against = 1 - why[0].Share
	}
	if why[0].Share >= surely*(why[0].Share+against) {
		return why[0].Kind
	}
	return Unknown
}

// shareOf is how far a kind is believed.
func shareOf(kind string, why []Explanation) float64 {
	for _, e := range why {
		if e.Kind == kind {
			return e.Share
		}
	}
	return 0
}

func (c *Check) answerText(kind string, why []Explanation) string {
	switch kind {
	case Nothing:
		return fmt.Sprintf("nothing to do: every patch is within %.1f L* of its aim", c.Tolerance.Lstar) + c.centre(why)
	case Time:
		return fmt.Sprintf("time x%.2f +- %.2f: %s", c.TimeFactor.Value, c.TimeFactor.SD, c.exposureWords()) + scatterWords(why)
	case Contrast:
		return fmt.Sprintf("contrast changed by %+.0f %% +- %.0f: look at humidity, developer and its dichromate; if none of these did, a new ramp",
			100*c.Contrast.Value, 100*c.Contrast.SD)
	case Black:
		return fmt.Sprintf("the depth of the print changed by %+.2f in density: look at coating weight, sizing, humidity and paper; time and curve do not mend it", c.Depth.Value)
	case Paper:
		return fmt.Sprintf("paper white changed by %+.2f in density: look for fog, clearing and another paper; time and curve do not mend it", c.PaperDensity.Value)
	case NewRamp:
		return "a new ramp: the print differs in more than exposure or contrast, as with another paper, ink or film"
	case Again:
		return "outside the tolerance, yet no more than honest prints scatter: print it once more before you change anything"
	}
	return c.unknownText(why)
}

func (c *Check) exposureWords() string {
	if c.ExposureOffset.Value > 0 {
		return "the print got more exposure than the curve was made for"
	}
	return "the print got less exposure than the curve was made for"
}

// spoiledWords names the patches that the answer does not rest on: one that is off
// for a reason would be missed.
func (c *Check) spoiledWords() string {
	var names []string
	for _, p := range c.Patches {
		if p.Spoiled {
			names = append(names, p.ID)
		}
	}
	switch n := len(names); {
	case n == 0:
		return ""
	case n == 1:
		return "; patch " + names[0] + " is left out: read it again"
	case n > 3:
		return fmt.Sprintf("; %d patches are left out: read them again", n)
	}
	return "; patches " + strings.Join(names, ", ") + " are left out: read them again"
}

// scatterWords warns of a change that may be no more than scatter: who follows
// every print's scatter with the timer doubles it.
func scatterWords(why []Explanation) string {
	if settled(why) == Time {
		return ""
	}
	return "; prints scatter by as much without a cause, so see whether the next one says the same"
}

// centre says by how much a print that is inside is off all the same, where that
// is sure.
func (c *Check) centre(why []Explanation) string {
	if len(why) == 0 || why[0].Kind != Time || why[0].Share < surely {
		return ""
	}
	return fmt.Sprintf(" (time x%.2f would centre it)", c.TimeFactor.Value)
}

// explanationWords names each kind in a list.
var explanationWords = map[string]string{
	Again: "honest scatter", Time: "another exposure", Contrast: "another contrast",
	Black: "another coating", Paper: "another paper white", NewRamp: "another paper, ink or film",
}

// Words names the explanation, as part of a sentence.
func (e Explanation) Words() string { return explanationWords[e.Kind] }

func (c *Check) unknownText(why []Explanation) string {
	if len(why) == 0 {
		return c.unfittedText()
	}
	var names []string
	for _, e := range why {
		names = append(names, fmt.Sprintf("%s (%.0f %%%s)", explanationWords[e.Kind], 100*e.Share, c.howMuch(e.Kind)))
	}
	end := "; print it once more"
	if shareOf(Again, why) == 0 {
		end = "; print it once more, and where it comes out the same, a new ramp"
	}
	return "cannot tell: the readings fit " + strings.Join(names, ", or ") + end
}

// howMuch is the figure of an explanation, as the end of a bracket.
func (c *Check) howMuch(kind string) string {
	switch kind {
	case Time:
		return fmt.Sprintf(", time x%.2f", c.TimeFactor.Value)
	case Contrast:
		return fmt.Sprintf(", by %+.0f %%", 100*c.Contrast.Value)
	}
	return ""
}

// unfittedText says what differences alone tell, without a characteristic curve.
func (c *Check) unfittedText() string {
	side := ""
	for _, p := range c.Patches {
		if p.Spoiled || math.Abs(p.Difference) < c.Tolerance.Lstar/4 {
			continue
		}
		s := "lighter"
		if p.Difference < 0 {
			s = "darker"
		}
		if side != "" && s != side {
			return "cannot tell: darker here and lighter there, which exposure alone does not do; print a new ramp"
		}
		side = s
	}
	return fmt.Sprintf("cannot tell how much time: the print is %s by %.1f L* on the mean, and nothing says how tone moves with exposure", side, math.Abs(c.Shift.Value))
}
