package scan

import (
	"actinic/process/tablet"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/negative/chart"
)

// smallRamp is a ramp on a sheet of 4x5 inches.
func smallRamp(t testing.TB, ppi float64) *chart.Chart {
	t.Helper()
	c, err := chart.NewRamp(chart.RampOptions{Levels: 21, Repeats: 1,
		Sheet: chart.Sheet{WidthMM: 127, HeightMM: 101.6, MarginMM: 6, PPI: ppi, Mirrored: true, Seed: 3, Window: chart.Window{None: true}}})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func mustRead(t testing.TB, c *chart.Chart, o *Options, scans ...Input) *Result {
	t.Helper()
	r, err := Read(context.Background(), scans, c, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// errorsOf holds readings against the print: root mean square and largest, L*.
func errorsOf(r *Result, p *print) (rms, most float64) {
	n := 0
	for _, reading := range r.Readings {
		if reading.Page != 0 || reading.Flag != "" {
			continue
		}
		d := math.Abs(reading.Lstar - p.truth(reading.patch.Rect))
		rms, most = rms+d*d, max(most, d)
		n++
	}
	return math.Sqrt(rms / float64(max(n, 1))), most
}

func TestPatchesReadAsTheyWerePrinted(t *testing.T) {
	c := smallRamp(t, 300)
	p := contact(t, c, 0)
	for name, b := range map[string]bed{
		"straight":      {ppi: 300, marginMM: 5},
		"turned":        {ppi: 200, angle: 7.3, marginMM: 10, noise: 200, seed: 1},
		"8 bits":        {ppi: 240, angle: -93, marginMM: 4, noise: 300, bits: 8, dust: 300, seed: 2},
		"grey 150 ppi":  {ppi: 150, angle: 181, marginMM: 4, noise: 200, channels: 1, seed: 3},
		"dusty 600 ppi": {ppi: 450, angle: 2, marginMM: 3, noise: 400, dust: 2000, seed: 4},
	} {
		t.Run(name, func(t *testing.T) {
			r := mustRead(t, c, nil, p.scan(b).input("scan.tif"))
			rms, most := errorsOf(r, p)
			t.Logf("rms %.3f, largest %.3f L*; %d flagged", rms, most, len(r.Flagged()))
			for _, f := range r.Flagged() {
				t.Errorf("%s: %s", f.ID, f.Flag)
			}
			if rms > 0.1 || most > 0.35 {
				t.Errorf("readings are off by %.3f L* (root mean square), %.3f at most", rms, most)
			}
		})
	}
}

// rampWith is a ramp on A5 with a tape box and a tablet window.
func rampWith(t testing.TB, ppi float64) *chart.Chart {
	t.Helper()
	c, err := chart.NewRamp(chart.RampOptions{Levels: 21, Repeats: 2,
		Sheet: chart.Sheet{WidthMM: 210, HeightMM: 148, MarginMM: 6, PPI: ppi, Mirrored: true, Seed: 5, Window: chart.Window{WidthMM: 100, HeightMM: 25}}})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// tape lays opaque tape into its box, and a tablet into the window.
func (p *print) tape() {
	b := *p.page.OpaqueBox
	p.change(func(x, y, l float64) float64 {
		if x > b.XMM && x < b.XMM+b.WidthMM && y > b.YMM && y < b.YMM+b.HeightMM {
			return tone(1)
		}
		return l
	})
}

func (p *print) lay(l laid) {
	w := *p.page.TabletWindow
	sin, cos := math.Sincos(l.turn * math.Pi / 180)
	p.change(func(x, y, lstar float64) float64 {
		dx, dy := x-w.XMM-w.WidthMM/2-l.dx, y-w.YMM-w.HeightMM/2-l.dy
		if k := l.step(dx*cos+dy*sin, -dx*sin+dy*cos); k >= 0 {
			return l.printOf(l.first + float64(k)*l.inc)
		}
		return lstar
	})
}

// The scanner's light falls off to one side. Paper white says so, with tape in
// the box; the readings come out as if it were even.
func TestUnevenLightIsRemovedWherePaperWhiteShowsIt(t *testing.T) {
	c := rampWith(t, 150)
	p := contact(t, c, 0)
	p.tape()
	light := func(u, v float64) float64 { return 0.99 - 0.04*u + 0.01*v*v }
	r := mustRead(t, c, nil, p.scan(bed{ppi: 150, angle: 2, marginMM: 4, noise: 150, light: light, seed: 1}).input("scan.tif"))
	if l := r.Pages[0].Lightings[0]; !l.Removed || l.RangePercent < 2.5 || l.RangePercent > 5 {
		t.Errorf("light varies by %.2f %% (removed: %v), want about 4 and removed", l.RangePercent, l.Removed)
	}
	level := 0.0
	for _, reading := range r.Readings {
		level += (reading.Lstar - p.truth(reading.patch.Rect)) / float64(len(r.Readings))
	}
	worst := 0.0
	for _, reading := range r.Readings {
		worst = max(worst, math.Abs(reading.Lstar-p.truth(reading.patch.Rect)-level))
	}
	if worst > 0.45 || math.Abs(level) > 1.2 { // a plane leaves some of the curve
		t.Errorf("readings differ by up to %.2f L* among themselves, level %.2f", worst, level)
	}
}

// Where the strongest inks all print as white, they say what the light does, even
// if the paper under the tape is a little lighter; where they stop short of paper
// white, because the ink is spent, they say nothing.
func TestUnevenLightIsSeenWhereMoreInkMakesNoDifference(t *testing.T) {
	light := func(u, v float64) float64 { return 0.97 - 0.03*u }
	for plateau, want := range map[float64]bool{93.7: true, 86: false} {
		c := rampWith(t, 150)
		p := contact(t, c, 0)
		p.change(func(_, _, l float64) float64 { return plateau * min(1, l/75) })
		p.tape()
		r := mustRead(t, c, nil, p.scan(bed{ppi: 150, angle: 2, marginMM: 4, noise: 150, light: light, seed: 4}).input("scan.tif"))
		l := r.Pages[0].Lightings[0]
		if l.Removed != want || want && (l.Places < 16 || l.RangePercent < 2 || l.RangePercent > 4) {
			t.Errorf("white prints as L* %g: %d places, light varies by %.2f %% (removed: %v, want %v)", plateau, l.Places, l.RangePercent, l.Removed, want)
		}
	}
}

// An uneven print under even light is read as it is.
func TestUnevenPrintIsNotTakenForLight(t *testing.T) {
	c := rampWith(t, 150)
	for name, change := range map[string]func(x, y, l float64) float64{
		// Exposure varies by 0.06 over the sheet: each tone moves along the curve,
		// by less where the curve is level.
		"exposure": func(x, y, l float64) float64 {
			slope := (l - 18) * (94 - l) / 38 * 0.9
			return l - slope*0.06*(x/105-1)
		},
		"coating": func(x, y, l float64) float64 { return 94 - (94-l)*(1+0.05*(y/74-1)) },
	} {
		for _, taped := range []bool{true, false} {
			p := contact(t, c, 0)
			if taped {
				p.tape()
			}
			p.change(change)
			r := mustRead(t, c, nil, p.scan(bed{ppi: 150, angle: -1, marginMM: 4, noise: 150, seed: 2}).input("scan.tif"))
			if l := r.Pages[0].Lightings[0]; l.Removed {
				t.Errorf("%s, taped %v: %.2f %% were removed as light", name, taped, l.RangePercent)
			}
			if rms, most := errorsOf(r, p); rms > 0.05 || most > 0.15 {
				t.Errorf("%s, taped %v: off by %.3f L*, %.3f at most", name, taped, rms, most)
			}
		}
	}
}

func TestTwoScansOfAPageAreAveraged(t *testing.T) {
	c := rampWith(t, 150)
	p := contact(t, c, 0)
	light := func(u, v float64) float64 { return 1 - 0.06*(u-0.5) - 0.04*(v-0.5) }
	a := p.scan(bed{ppi: 150, angle: 1, marginMM: 4, noise: 150, light: light, seed: 1})
	b := p.scan(bed{ppi: 150, angle: -1.5, marginMM: 4, noise: 150, light: light, seed: 2, turned180: true})
	alone, _ := errorsOf(mustRead(t, c, nil, a.input("a.tif")), p)
	r := mustRead(t, c, nil, a.input("a.tif"), b.input("b.tif"))
	both, _ := errorsOf(r, p)
	if both > alone/4 {
		t.Errorf("two scans are off by %.3f L*, one alone by %.3f", both, alone)
	}
	if d := r.Pages[0].DifferLstar; len(d) != 1 || d[0] < alone {
		t.Errorf("the scans are said to differ by %v L*, want more than %.2f", d, alone)
	}
	if len(r.Readings) != len(c.Pages[0].Patches) {
		t.Errorf("%d readings of %d patches", len(r.Readings), len(c.Pages[0].Patches))
	}
}

func TestTapeTellsWhetherFullInkReachesPaper(t *testing.T) {
	c := rampWith(t, 150)
	for _, test := range []struct {
		taped bool
		fall  float64 // of full ink below paper white, L*
		want  string
	}{
		{true, 0, "full ink reaches paper white"},
		{true, 3, "does not reach paper white"},
		{false, 0, "no opaque tape"},
	} {
		p := contact(t, c, 0)
		p.change(func(_, _, l float64) float64 { return l - test.fall*(l-18)/76 })
		if test.taped {
			p.tape()
		}
		r := mustRead(t, c, nil, p.scan(bed{ppi: 150, marginMM: 4, noise: 100}).input("scan.tif"))
		if !contains(r.Notices, test.want) {
			t.Errorf("taped %v, full ink %.0f L* short: notices %q, want %q", test.taped, test.fall, r.Notices, test.want)
		}
		b := r.Pages[0].OpaqueBox
		if b == nil || b.Taped != test.taped || test.taped && math.Abs(b.Difference-test.fall) > 0.2 {
			t.Errorf("box %+v, want taped %v and a difference of %.1f", b, test.taped, test.fall)
		}
	}
}

func contains(list []string, part string) bool {
	return slices.ContainsFunc(list, func(s string) bool { return strings.Contains(s, part) })
}

// usualStrip is a tablet that fits the window of rampWith.
var usualStrip = laid{n: 15, first: 0.05, inc: 0.2, pitchMM: 5, heightMM: 13, turn: 1.4, dx: 3, scale: 1.8, shift: 1.1}

func tabletOf(t testing.TB, l laid) *tablet.Tablet {
	t.Helper()
	known, err := tablet.Parse(fmt.Sprintf("%dx%g+%g", l.n, l.inc, l.first))
	if err != nil {
		t.Fatal(err)
	}
	return &known
}

func TestTabletIsReadWithTheRamp(t *testing.T) {
	c := rampWith(t, 150)
	for _, reversed := range []bool{false, true} {
		l := usualStrip
		l.reversed = reversed
		p := contact(t, c, 0)
		p.lay(l)
		s := p.scan(bed{ppi: 150, angle: 88, marginMM: 4, noise: 150, seed: 4})
		table := mustRead(t, c, &Options{Tablet: tabletOf(t, l)}, s.input("scan.tif")).Tablet()
		if len(table.Readings) != l.n {
			t.Fatalf("%d steps, want %d", len(table.Readings), l.n)
		}
		for k, step := range table.Readings {
			d := l.first + float64(k)*l.inc
			if math.Abs(float64(step.Tablet)-d) > 1e-9 || math.Abs(step.Value-l.printOf(d)) > 0.2 || math.IsNaN(step.XMM) {
				t.Errorf("step %s: density %v, L* %.2f at %.1f mm; want %v, %.2f", step.ID, step.Tablet, step.Value, step.XMM, d, l.printOf(d))
			}
		}
		unnamed := mustRead(t, c, nil, s.input("scan.tif"))
		if n := len(unnamed.Steps); n < 12 || n > l.n || !math.IsNaN(float64(unnamed.Tablet().Readings[0].Tablet)) {
			t.Errorf("without the tablet's name: %d steps, densities %v", n, unnamed.Tablet().Readings[0].Tablet)
		}
	}
}

func TestTabletThatIsAnotherIsRefused(t *testing.T) {
	c := rampWith(t, 150)
	p := contact(t, c, 0)
	p.lay(usualStrip)
	s := p.scan(bed{ppi: 150, marginMM: 4, noise: 150})
	for notation, want := range map[string]string{
		"9x0.3+0.05":   "steps of 5.0 mm are seen, expected the 9",
		"41x0.05+0.05": "the window has room for",
	} {
		known, err := tablet.Parse(notation)
		if err != nil {
			t.Fatal(err)
		}
		_, err = Read(context.Background(), []Input{s.input("scan.tif")}, c, &Options{Tablet: &known})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", notation, err, want)
		}
	}
	empty := contact(t, c, 0).scan(bed{ppi: 150, marginMM: 4, noise: 150})
	r := mustRead(t, c, nil, empty.input("scan.tif"))
	if r.Tablet() != nil || !contains(r.Notices, "no step tablet lay") {
		t.Errorf("empty window: %v, %q", r.Tablet(), r.Notices)
	}
	if _, err := Read(context.Background(), []Input{empty.input("scan.tif")}, c, &Options{Tablet: tabletOf(t, usualStrip)}); err == nil {
		t.Error("an empty window passes for the tablet that was named")
	}
}

func TestMirroredPrintIsRefused(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	for y := range p.height {
		slices.Reverse(p.lstar[y*p.width : (y+1)*p.width])
	}
	s := p.scan(bed{ppi: 150, angle: 3, marginMM: 4})
	_, err := Read(context.Background(), []Input{s.input("scan.tif")}, c, nil)
	if err == nil || !strings.Contains(err.Error(), "film upside down, or printed on the wrong side") {
		t.Fatalf("got %v", err)
	}
	r := mustRead(t, c, &Options{Mirrored: true}, s.input("scan.tif"))
	for _, reading := range r.Readings {
		if want := tone(*reading.patch.Ink / 100); math.Abs(reading.Lstar-want) > 0.2 {
			t.Errorf("%s: L* %.2f, want %.2f", reading.ID, reading.Lstar, want)
		}
	}
}

// A scan whose orientation tag holds a reflection is not a mirrored print.
func TestOrientationTagIsNotAMirroredPrint(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	s := p.scan(bed{ppi: 150, angle: 3, marginMM: 4})
	s.head.Orientation = 2
	w, n := s.head.Width, s.head.Channels
	for y := range s.head.Height {
		row := s.samples[y*w*n : (y+1)*w*n]
		for i, j := 0, w-1; i < j; i, j = i+1, j-1 {
			for k := range n {
				row[i*n+k], row[j*n+k] = row[j*n+k], row[i*n+k]
			}
		}
	}
	if rms, _ := errorsOf(mustRead(t, c, nil, s.input("scan.tif")), p); rms > 0.1 {
		t.Errorf("off by %.3f L*", rms)
	}
}

func TestPagesComeInAnyOrderAndMustAllBeThere(t *testing.T) {
	c, err := chart.NewColours(chart.ColoursOptions{Patches: 200,
		Sheet: chart.Sheet{WidthMM: 127, HeightMM: 101.6, MarginMM: 6, PPI: 200, Mirrored: true, Seed: 2, Window: chart.Window{None: true}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Pages) < 2 {
		t.Fatalf("the chart has %d page, want several", len(c.Pages))
	}
	var inputs []Input
	for i := range c.Pages {
		inputs = append(inputs, contact(t, c, i).scan(bed{ppi: 150, angle: float64(2 - i), marginMM: 4}).input(fmt.Sprintf("%d.tif", i)))
	}
	slices.Reverse(inputs)
	r := mustRead(t, c, nil, inputs...)
	if want := len(c.Pages[0].Patches) + len(c.Pages[1].Patches); len(r.Readings) < want || r.Readings[0].ID != c.Pages[0].Patches[0].ID {
		t.Errorf("%d readings from %s on, want %d from %s on", len(r.Readings), r.Readings[0].ID, want, c.Pages[0].Patches[0].ID)
	}
	if _, err := Read(context.Background(), inputs[:len(inputs)-1], c, nil); err == nil || !strings.Contains(err.Error(), "no scan shows page 1") {
		t.Errorf("a missing page gives %v", err)
	}
}

func TestCornersByHand(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	b := bed{ppi: 150, marginMM: 5}
	s := p.scan(b)
	perMM := b.ppi / 25.4
	var corners [4]Point
	for i, id := range []string{"tl", "tr", "br", "bl"} {
		for _, m := range c.Pages[0].Marks {
			if m.ID == id {
				corners[i] = Point{(m.XMM+b.marginMM)*perMM + 1.5, (m.YMM+b.marginMM)*perMM - 1}
			}
		}
	}
	if rms, most := errorsOf(mustRead(t, c, &Options{Corners: &corners}, s.input("scan.tif")), p); rms > 0.1 {
		t.Errorf("off by %.3f L*, %.3f at most", rms, most)
	}
}

// TestNoticesNameTheirScan: of several scans the user learns which one is meant.
func TestNoticesNameTheirScan(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	misstated := p.scan(bed{ppi: 150, marginMM: 4, noise: 120, seed: 3})
	misstated.head.PPIX, misstated.head.PPIY = 600, 600
	r := mustRead(t, c, nil, p.scan(bed{ppi: 150, marginMM: 4, noise: 120, seed: 4}).input("one.tif"), misstated.input("two.tif"))
	sized := false
	for _, n := range r.Notices {
		if !strings.HasPrefix(n, "one.tif") && !strings.HasPrefix(n, "two.tif") {
			t.Errorf("no scan is named: %q", n)
		}
		sized = sized || strings.HasPrefix(n, "two.tif: the scan says 600 pixels an inch")
	}
	if !sized {
		t.Errorf("the wrong resolution of two.tif is not told: %q", r.Notices)
	}
}

// TestScansThatDisagreeAreTold: a second scan with the scanner's own gamma is no
// second look at the same tones.
func TestScansThatDisagreeAreTold(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	one := p.scan(bed{ppi: 150, marginMM: 4, noise: 120, seed: 3})
	for _, k := range []struct {
		gamma float64
		told  bool
	}{{1, false}, {1.02, false}, {1.3, true}} {
		two := p.scan(bed{ppi: 150, marginMM: 4, noise: 120, seed: 4, code: func(y float64) float64 { return sRGB(math.Pow(y, k.gamma)) }})
		r := mustRead(t, c, nil, one.input("one.tif"), two.input("two.tif"))
		if told := strings.Contains(strings.Join(r.Notices, "\n"), "other settings"); told != k.told {
			t.Errorf("gamma %g: told %v, they differ by %.2f L*", k.gamma, told, r.Pages[0].DifferLstar)
		}
	}
}
