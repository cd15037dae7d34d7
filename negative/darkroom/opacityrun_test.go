package darkroom_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/process/calibration"
	"actinic/process/measure"
	"actinic/process/printer"
)

// opacityRun is one setup: its colours found from one print and from two.
type opacityRun struct {
	one, two, beyond uvError
	predicted        uvError // colours that were not printed, by one print
	gain             float64 // of reach; NaN where the printer has no colour as dense
	choice, shown    choice  // for a range that is asked for; for that which the tablet shows, where it does
}

// truePrinter tells the truth of a virtual printer.
type truePrinter struct{ *darkroom.Printer }

func (p truePrinter) UVDensity(c printer.RGB) (uv, sd float64) {
	return float64(p.Printer.UVDensity(c)), 0
}

func runOpacity(t *testing.T, s *darkroom.Setup) opacityRun {
	rng := darkroom.Random(s.Seed(), 31)
	first, second := colourPrint(t, s, darkroom.Print{}, rng), colourPrint(t, s, darkroom.Print{Offset: longer}, rng)
	one, two := fitColours(t, s, nil, first), fitColours(t, s, nil, first, second)
	if one == nil || two == nil {
		return opacityRun{gain: math.NaN()}
	}
	return judgeOpacity(t, s, one, two)
}

// judgeOpacity holds what was found from one print and from two to the truth.
func judgeOpacity(t *testing.T, s *darkroom.Setup, one, two *calibration.Colours) opacityRun {
	r := opacityRun{one: colourErrors(s, one, 0), two: colourErrors(s, two, 0), gain: math.NaN()}
	reach, further := reachOf(s, one), reachOf(s, two)
	r.beyond = colourErrors(s, two, reach)
	if densest := float64(s.Printer().UVDensity(s.Printer().Densest())); densest > reach+longer {
		r.gain = further - reach
	}
	asked, shown := inksOf(t, s, one, true), inksOf(t, s, one, false)
	if asked == nil || shown == nil {
		return r
	}
	m, err := asked.Model()
	if err != nil || asked.Ranking == nil {
		t.Errorf("seed %d: no model or ranking: %v", s.Seed(), err)
		return r
	}
	r.predicted = predictedErrors(s, one, m)
	r.choice = choose(s, asked.Ranking, asked.Ranking.NeededRange)
	if shown.Ranking != nil {
		r.shown = choose(s, shown.Ranking, -float64(s.White()))
	}
	return r
}

// colourPrint reads the search chart from a print, with its tablet.
func colourPrint(t *testing.T, s *darkroom.Setup, p darkroom.Print, rng *rand.Rand) calibration.ColourPrint {
	noise := darkroom.Noise{LightnessSD: readingSD}
	return calibration.ColourPrint{
		Colours: table(measure.Colours, s.ColourReadings(searchColours(t), p, noise, rng)),
		Tablet:  table(measure.Tablet, s.TabletReadings(tablet21(), p, noise, rng)),
	}
}

// searchColours are the colours of the search chart.
func searchColours(t *testing.T) [][3]float64 {
	c := searchChart(t, 100, 1)
	var out [][3]float64
	for _, p := range c.Pages[0].Patches {
		out = append(out, *p.Device)
	}
	return out
}

func searchChart(t *testing.T, ppi float64, seed uint64) *chart.Chart {
	c, err := chart.NewColours(chart.ColoursOptions{Patches: colourPatches,
		Sheet: chart.Sheet{WidthMM: a4Width, HeightMM: a4Height, MarginMM: printerMarginMM, PPI: ppi, Mirrored: true, Seed: seed}})
	if err != nil || len(c.Pages) != 1 {
		t.Fatalf("search chart: %v", err)
	}
	return c
}

func fitColours(t *testing.T, s *darkroom.Setup, o *calibration.Options, prints ...calibration.ColourPrint) *calibration.Colours {
	c, err := calibration.FitColours(prints, o)
	if err != nil {
		t.Errorf("seed %d, %s: %v", s.Seed(), s.Family(), err)
		return nil
	}
	return c
}

// colourErrors are those of the colours that truly stop more than a UV density.
func colourErrors(s *darkroom.Setup, c *calibration.Colours, above float64) uvError {
	var e uvError
	for _, m := range c.Measured {
		truth := float64(s.Printer().UVDensity(m.RGB))
		switch {
		case m.RGB == printer.Clear || truth <= above:
		case m.Known():
			e.add(m.UVDensity-truth, m.SD)
		default:
			e.addBound(!(m.AtLeast > truth) && !(m.AtMost < truth))
		}
	}
	return e
}

// reachOf is the densest colour, in truth, that is told within fineDoubt.
func reachOf(s *darkroom.Setup, c *calibration.Colours) float64 {
	reach := 0.0
	for _, m := range c.Measured {
		if m.Known() && m.SD <= fineDoubt {
			reach = math.Max(reach, float64(s.Printer().UVDensity(m.RGB)))
		}
	}
	return reach
}

// predictedErrors are those of random colours within the reach of the prints.
func predictedErrors(s *darkroom.Setup, c *calibration.Colours, m printer.Predictor) uvError {
	rng := darkroom.Random(s.Seed(), 32)
	low, high := math.Inf(1), reachOf(s, c)
	for _, k := range c.Measured {
		if k.Known() && k.SD <= fineDoubt {
			low = math.Min(low, float64(s.Printer().UVDensity(k.RGB)))
		}
	}
	var e uvError
	for range 300 {
		rgb := [3]float64{float64(rng.IntN(256)), float64(rng.IntN(256)), float64(rng.IntN(256))}
		truth := float64(s.Printer().UVDensity(rgb))
		if truth < low || truth > high {
			continue
		}
		got, sd := m.UVDensity(rgb)
		e.add(got-truth, sd)
		if sd > fineDoubt {
			e.fine = append(e.fine, got-truth) // all of them count
		}
	}
	return e
}

// choice is how the first colour of a ranking compares with the three truly best.
type choice struct {
	made bool
	best bool // it is one of them
	like bool // it is nearly the same as one of them
}

// choose holds a ranking to that of the truth, which knows every UV density
// without doubt and looks for the range that is truly needed.
func choose(s *darkroom.Setup, found *printer.Ranking, needed float64) choice {
	truth := printer.Rank(truePrinter{s.Printer()}, trueColours(s, found), printer.RankOptions{NeededRange: needed})
	first := found.Colours[0].RGB()
	out := choice{made: true}
	for _, r := range truth.Colours[:3] {
		out.best = out.best || r.RGB() == first
	}
	for _, r := range truth.ShortList(3) {
		out.like = out.like || near(r.RGB(), first)
	}
	return out
}

// trueColours are the colours of a ranking with their true UV densities.
func trueColours(s *darkroom.Setup, found *printer.Ranking) []printer.Colour {
	var colours []printer.Colour
	for _, r := range found.Colours {
		colours = append(colours, printer.Colour{RGB: r.RGB(), UVDensity: float64(s.Printer().UVDensity(r.RGB())),
			AtLeast: math.NaN(), AtMost: math.NaN()})
	}
	return colours
}

// near says whether no channel of two colours differs by as much as a fifth.
func near(a, b printer.RGB) bool {
	for i := range a {
		if math.Abs(a[i]-b[i]) >= 51 {
			return false
		}
	}
	return true
}

// inksOf ranks the colours for a range: the one that the tablet shows, or what a
// printmaker asks for, the truth to a tenth.
func inksOf(t *testing.T, s *darkroom.Setup, c *calibration.Colours, asked bool) *calibration.Inks {
	rq := calibration.InksRequest{Made: time.Unix(0, 0), Unit: "s", Straight: true}
	if asked {
		rq.NeededRange = math.Round(10*float64(s.NeededRange())) / 10
	}
	k, err := c.Inks(rq)
	if err != nil {
		t.Errorf("seed %d: %v", s.Seed(), err)
		return nil
	}
	return k
}
