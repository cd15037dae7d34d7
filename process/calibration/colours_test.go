package calibration

import (
	"flag"
	"math"
	"strings"
	"testing"

	"actinic/process/measure"
	"actinic/process/printer"
)

var colourScenes = flag.Int("colour-scenes", 2, "scenes of the tests of colours; the figures count from 12 on")

// enoughScenes is how many scenes tell a figure; fewer only show a broken fit.
const enoughScenes = 12

// mostUVError is what UV density of colours is held to where the doubt is at most
// fine: the aim of the search for an ink colour, root mean square.
const mostUVError = 0.03

func (g *colourFigures) hold(t *testing.T, name string, most float64) {
	t.Helper()
	t.Log(name, g)
	least := 0.9
	if *colourScenes < enoughScenes {
		most, least = 1.5*most, 0.8
	}
	if rms := math.Sqrt(g.square / g.count); !(rms <= most) {
		t.Errorf("%s: off by %.4f, want %.3f at most", name, rms, most)
	}
	if share := g.held / g.numbers; !(share >= least) {
		t.Errorf("%s: %.3f of the numbers in their band, want about 0.95", name, share)
	}
	if g.idle > 0 {
		t.Errorf("%s: %.0f of %.0f bounds say nothing", name, g.idle, g.bounds)
	}
	if share := g.outside / math.Max(g.bounds, 1); share > 0.12 {
		t.Errorf("%s: %.3f of the bounds broken, want 0.05", name, share)
	}
}

// By numbers, an error of 0.5 L* a reading: one print, and two at 1x and 4x.
//
// The figures: go test ./process/calibration -run '^TestColours(ByNumbers|OnUnevenSheets)$' -v -colour-scenes 12
func TestColoursByNumbers(t *testing.T) {
	var one, two colourFigures
	for i := range uint64(*colourScenes) {
		s := newColourScene(9000+i, 200)
		first, second := s.colourPrint(9000+i, 0), s.colourPrint(9500+i, 0.6)
		one.add(s.fitColours(t, first), s.printer.uv)
		two.add(s.fitColours(t, first, second), s.printer.uv)
	}
	one.hold(t, "one print", mostUVError)
	two.hold(t, "two prints", mostUVError)
	if two.highest < one.highest || two.bounds >= one.bounds {
		t.Errorf("two prints reach %.2f with %.0f colours left open, one %.2f with %.0f", two.highest, two.bounds, one.highest, one.bounds)
	}
}

// On uneven sheets, patches scattered; and left in it must show.
func TestColoursOnUnevenSheets(t *testing.T) {
	var one, two, kept colourFigures
	for i := range uint64(*colourScenes) {
		a := unevenColours{colourScene: newColourScene(9000+i, 200), light: 0.03, coating: 0.03, lamp: 9000 + i}
		first, second := a.colourPrint(9000+i, 0), a.colourPrint(9500+i, 0.6)
		c := a.fitColours(t, first)
		if c.Unevenness == nil || len(c.Unevenness.Prints) != 1 {
			t.Fatalf("unevenness %+v", c.Unevenness)
		}
		one.add(c, a.printer.uv)
		two.add(a.fitColours(t, first, second), a.printer.uv)
		k, err := FitColours([]ColourPrint{first}, &Options{KeepUnevenness: true})
		if err != nil || k.Unevenness != nil {
			t.Fatal(err, k.Unevenness)
		}
		kept.add(k, a.printer.uv)
	}
	one.hold(t, "one print", mostUVError)
	two.hold(t, "two prints", mostUVError)
	if t.Log("left in", &kept); kept.square/kept.count < 1.5*one.square/one.count {
		t.Error("unevenness left in makes no difference")
	}
}

// A positive-working process, a densitometer, a tablet in a cut-out, a chart of two
// pages: each must find the same printer.
func TestColoursOfManySorts(t *testing.T) {
	falling := newColourScene(31, 150)
	falling.falling = true
	byDensity := newColourScene(32, 150)
	byDensity.unit, byDensity.noise = measure.InDensity, 0.01
	cut := newColourScene(33, 150)
	cut.cutOut, cut.base = true, 0.12
	for name, s := range map[string]colourScene{"falling": falling, "density": byDensity, "cut-out": cut} {
		var g colourFigures
		more := 0.0
		if s.cutOut {
			more = -0.4 // clear film in the mid-tones tells the film's density
		}
		g.add(s.fitColours(t, s.colourPrint(41, more)), s.printer.uv)
		if t.Log(name, &g); !(math.Sqrt(g.square/g.count) < 0.05) || g.count < 50 {
			t.Errorf("%s: %v", name, &g)
		}
	}
}

func TestColoursOfTwoPages(t *testing.T) {
	var g, ignored colourFigures
	for seed := range uint64(1) {
		a := unevenColours{colourScene: newColourScene(60+seed, 180), lamp: 60 + seed}
		first, second := a.colourPrint(60+seed, 0), a.colourPrint(80+seed, 0.06) // each page was exposed by itself
		both := first
		both.Colours = altered(first.Colours, func(r *measure.Reading, i int) {
			if i%2 == 1 {
				*r = second.Colours.Readings[i]
				r.ID = "2-" + r.ID
			}
		})
		c := a.fitColours(t, both)
		if len(c.Prints) != 1 || len(c.fit.sheets) != 2 {
			t.Fatalf("%d prints of %d sheets", len(c.Prints), len(c.fit.sheets))
		}
		g.add(c, a.printer.uv)
		both.Colours = altered(both.Colours, func(r *measure.Reading, _ int) { r.ID = strings.TrimPrefix(r.ID, "2-") })
		ignored.add(a.fitColours(t, both), a.printer.uv)
	}
	t.Log("pages taken apart:", &g)
	t.Log("ignored:          ", &ignored)
	if g.square/g.count > 0.7*ignored.square/ignored.count {
		t.Error("taking the pages apart gains nothing")
	}
}

// Repeats are merged, and a spoiled one among three is named and does not count.
func TestColoursNameDust(t *testing.T) {
	s := newColourScene(5, 60)
	s.rgb = append(append(append([]printer.RGB{}, s.rgb...), s.rgb...), s.rgb...)
	p := s.colourPrint(5, 0)
	const spoiled = 17
	clean := s.fitColours(t, p)
	p.Colours = altered(p.Colours, func(r *measure.Reading, i int) {
		if i == spoiled {
			r.Value = 99
		}
	})
	dusty := s.fitColours(t, p)
	id := p.Colours.Readings[spoiled].ID
	found := false
	for _, o := range dusty.Outliers {
		found = found || o.ID == id
	}
	if !found {
		t.Errorf("patch %s is not among the outliers %+v", id, dusty.Outliers)
	}
	for i, m := range dusty.Measured {
		if m.RGB == s.rgb[spoiled] && (len(m.Patches) < 3 || math.Abs(m.UVDensity-clean.Measured[i].UVDensity) > 2*m.SD) {
			t.Errorf("%v: %.3f with a spoiled reading, %.3f without", m.Patches, m.UVDensity, clean.Measured[i].UVDensity)
		}
	}
}

// A flagged reading is left out and named.
func TestColoursLeaveOutFlagged(t *testing.T) {
	s := newColourScene(6, 60)
	p := s.colourPrint(6, 0)
	p.Colours = altered(p.Colours, func(r *measure.Reading, i int) {
		if i == 9 {
			r.Value, r.Flag = 99, "dust"
		}
	})
	c := s.fitColours(t, p)
	if len(c.Flagged) != 1 || len(c.Measured[0].Patches) == 0 || !strings.Contains(strings.Join(c.Cautions(), " "), "dust") {
		t.Errorf("%+v", c.Flagged)
	}
	for _, m := range c.Measured {
		for _, id := range m.Patches {
			if id == p.Colours.Readings[9].ID {
				t.Errorf("flagged %s was used", id)
			}
		}
	}
}

// Doubling the time must move the tablet by 0.30; a paper whose contrast goes with
// the exposure is no paper of one curve.
func TestColoursSayWhatPrintsDoNotShare(t *testing.T) {
	said := func(c *Colours) string { return strings.Join(c.Cautions(), "\n") }
	for seed := range uint64(6) {
		s := newColourScene(70+seed, 80)
		a, b := s.colourPrint(70+seed, 0), s.colourPrint(90+seed, 0.3)
		a.Exposure, b.Exposure = 60, 120
		if text := said(s.fitColours(t, a, b)); strings.Contains(text, "times the exposure") || strings.Contains(text, "lays the tablets") {
			t.Errorf("seed %d: honest prints are accused: %s", seed, text)
		}
		b.Exposure = 240
		if text := said(s.fitColours(t, a, b)); !strings.Contains(text, "reciprocity") {
			t.Errorf("seed %d: 4 times the light moved the tablet by 0.3, and nothing was said", seed)
		}
		masking := s
		masking.paper.k *= 1.25
		if text := said(s.fitColours(t, a, masking.colourPrint(90+seed, 0.3))); !strings.Contains(text, "No shift of exposure lays the tablets") {
			t.Errorf("seed %d: the contrast grew by a quarter, and nothing was said", seed)
		}
	}
}

// Where the most exposed steps turn back, what prints as dark as they do may be
// either; the rest is told as ever.
func TestColoursOnATurnedPrint(t *testing.T) {
	s := newColourScene(12, 150)
	p := s.colourPrint(12, 0.5)
	turn := func(uv, value float64) float64 { // from log exposure -0.3 on the print lightens again
		return value + 12*math.Max(0, 0.8-uv)
	}
	p.Tablet = altered(p.Tablet, func(r *measure.Reading, _ int) { r.Value = turn(float64(r.Tablet), r.Value) })
	p.Colours = altered(p.Colours, func(r *measure.Reading, _ int) { r.Value = turn(s.printer.uv(r.Device), r.Value) })
	c := s.fitColours(t, p)
	if len(c.Estimate.Reversed) != 1 || !strings.Contains(c.Cautions()[0], "turn back") {
		t.Fatalf("%+v %q", c.Estimate.Reversed, c.Cautions())
	}
	wrong, atMost := 0, 0
	for _, m := range c.Measured {
		uv := s.printer.uv(m.RGB)
		if m.Known() && math.Abs(m.UVDensity-uv) > 0.1+3*m.SD || m.AtMost < uv || m.AtLeast > uv+0.1 {
			wrong++
			t.Logf("%v: %+v, in truth %.3f", m.RGB, m, uv)
		}
		if m.AtMost > 0 {
			atMost++
		}
	}
	if wrong > 3 || atMost < 10 {
		t.Errorf("%d of %d colours wrong, %d with an upper bound", wrong, len(c.Measured), atMost)
	}
}

func TestColoursRefuse(t *testing.T) {
	s := newColourScene(3, 40)
	good := s.colourPrint(3, 0)
	ramp := darkroomScene().print(1).Ramp
	bare := altered(good.Colours, func(r *measure.Reading, _ int) { r.Device = printer.Clear })
	coloured := altered(good.Colours, func(r *measure.Reading, _ int) { r.Device[0] = 10 })
	flagged := altered(good.Colours, func(r *measure.Reading, _ int) { r.Flag = "x" })
	longer := s.colourPrint(4, 0.6)
	backwards := altered(longer.Colours, func(r *measure.Reading, i int) {
		r.Value = longer.Colours.Readings[len(longer.Colours.Readings)-1-i].Value
	})
	short := *good.Tablet
	short.Readings = short.Readings[:3]
	for name, c := range map[string]struct {
		prints []ColourPrint
		what   string
	}{
		"none":                        {nil, "no readings"},
		"no tablet":                   {[]ColourPrint{good, {Colours: longer.Colours}}, "no step tablet"},
		"no colours":                  {[]ColourPrint{{Tablet: good.Tablet}}, "without readings of its colours"},
		"a ramp":                      {[]ColourPrint{{Colours: ramp, Tablet: good.Tablet}}, "holds an ink ramp"},
		"the same print twice":        {[]ColourPrint{good, good}, "holds the same readings as print 1"},
		"a chart in another order":    {[]ColourPrint{good, {Colours: backwards, Tablet: longer.Tablet}}, "readings of one colour, in this print and the others, differ"},
		"tablets that changed places": {[]ColourPrint{{Colours: good.Colours, Tablet: longer.Tablet}, {Colours: longer.Colours, Tablet: good.Tablet}}, "readings of one colour, in this print and the others, differ"},
		"two tablets": {[]ColourPrint{{Colours: good.Tablet, Tablet: good.Tablet}},
			"holds a step tablet, expected ink colours"},
		"clear film":    {[]ColourPrint{{Colours: bare, Tablet: good.Tablet}}, "no colour but clear film"},
		"flagged":       {[]ColourPrint{{Colours: flagged, Tablet: good.Tablet}}, "every reading is flagged"},
		"short tablet":  {[]ColourPrint{{Colours: good.Colours, Tablet: &short}}, "tablet densities"},
		"cut-out alone": {[]ColourPrint{{Colours: coloured, Tablet: good.Tablet, CutOut: true}}, "no patch of clear film"},
	} {
		if _, err := FitColours(c.prints, nil); err == nil || !strings.Contains(err.Error(), c.what) {
			t.Errorf("%s: %v, want %q", name, err, c.what)
		}
	}
}

// Two thousand colours in three prints on uneven sheets, and everything that
// `actinic opacity` makes of them.
func BenchmarkTwoThousandColours(b *testing.B) {
	s := newColourScene(1, 2000)
	a := unevenColours{colourScene: s, light: 0.03, coating: 0.03, lamp: 1}
	prints := []ColourPrint{a.colourPrint(1, 0), a.colourPrint(2, 0.3), a.colourPrint(3, 0.6)}
	for b.Loop() {
		if _, err := s.fitColours(b, prints...).Inks(InksRequest{}); err != nil {
			b.Fatal(err)
		}
	}
}
