package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"actinic/process/measure"
)

// trial is what fits of some prints came to.
type trial struct {
	tone  []float64 // tone error, L*
	held  []float64 // share of the truth in the bands
	doubt []float64 // L*, at half the ink
	scale []float64 // exposure scale off the truth, in its doubt
}

// try fits one print of the scene for each seed, smooth and kinked inks in turn.
func (a unevenScene) try(t *testing.T, seeds uint64, o *Options) trial {
	t.Helper()
	var out trial
	for i := range seeds {
		if a.uv = smoothInk; i%2 == 1 {
			a.uv = kinkedInk
		}
		e, err := Fit([]Print{a.print(1000**seedFlag + i)}, o)
		if err != nil {
			t.Fatal(err)
		}
		out.tone = append(out.tone, a.error(e))
		out.held = append(out.held, a.held(e))
		_, sd := e.PrintLightness(50)
		out.doubt = append(out.doubt, sd)
		if a.steps > 0 {
			s := e.Sensitometry().ExposureScale
			out.scale = append(out.scale, (s.Value-a.paper.scale())/s.SD)
		}
	}
	return out
}

func (r trial) log(t *testing.T, name string) {
	t.Helper()
	t.Logf("%-28s tone error median %.3f, mean %.3f L*; bands hold %.3f; doubt %.3f; exposure scale off by %.2f of its doubt",
		name, median(r.tone), stat.Mean(r.tone, nil), stat.Mean(r.held, nil), stat.Mean(r.doubt, nil), rootMeanSquare(r.scale))
}

func rootMeanSquare(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum / float64(len(v)))
}

// Light that falls off by 0.03 log exposure either way and a coating that varies
// by 3 % cost little once they are taken out, nothing where they are not, and
// nothing was taken for tone. Held against the same prints on even sheets; the
// mutant that leaves unevenness in must fail.
//
// The figures: go test ./process/calibration -run '^TestUnevennessIsTakenOut$' -v -runs 600 -seed 4242
func TestUnevennessIsTakenOut(t *testing.T) {
	t.Parallel()
	seeds := uint64(max(5, *runsFlag/10))
	even := unevenScene{scene: darkroomScene()}
	uneven, strong := even, even
	uneven.light, uneven.coating = 0.03, 0.03
	strong.light, strong.coating = 0.10, 0.06
	keep := &Options{KeepUnevenness: true}
	bare, ignored, worst := even.try(t, seeds, keep), uneven.try(t, seeds, keep), strong.try(t, seeds, keep)
	flat, fitted, hard := even.try(t, seeds, nil), uneven.try(t, seeds, nil), strong.try(t, seeds, nil)
	for name, r := range map[string]trial{"even, not looked for": bare, "even": flat, "0.03, left in": ignored,
		"0.03, taken out": fitted, "0.10, taken out": hard, "0.10, left in": worst} {
		r.log(t, name)
	}
	base, slack := stat.Mean(bare.tone, nil), 0.5/math.Sqrt(float64(seeds))
	for _, c := range []struct {
		name string
		got  trial
		most float64 // of the error on even sheets
	}{{"no loss on even sheets", flat, 1.05 + slack/5}, {"0.03", fitted, 1.2 + slack}, {"0.10", hard, 1.3 + slack}} {
		if m := stat.Mean(c.got.tone, nil); m > c.most*base {
			t.Errorf("%s: tone error %.3f L*, want at most %.2f of %.3f", c.name, m, c.most, base)
		}
		if h := stat.Mean(c.got.held, nil); h < 0.93-slack/2 || h > 0.98+slack/2 {
			t.Errorf("%s: the bands hold %.3f of the truth", c.name, h)
		}
		if z := rootMeanSquare(c.got.scale); z > 1+3/math.Sqrt(2*float64(seeds)) {
			t.Errorf("%s: the exposure scale is off by %.2f of its doubt", c.name, z)
		}
	}
	if m := stat.Mean(worst.tone, nil); m <= (1.3+slack)*base {
		t.Errorf("0.10, left in: tone error %.3f L*: the gate of %.2f times %.3f could not tell", m, 1.3+slack, base)
	}
	if m := stat.Mean(ignored.tone, nil); m <= stat.Mean(fitted.tone, nil) || seeds >= 40 && m <= (1.2+slack)*base {
		t.Errorf("0.03, left in: tone error %.3f L*, %.3f taken out", m, stat.Mean(fitted.tone, nil))
	}
}

// Levels in order, row by row: unevenness can't be told from tone. The fit does
// not follow it, its doubt grows, and a caution says why.
func TestLevelsInOrder(t *testing.T) {
	t.Parallel()
	seeds := uint64(max(3, *runsFlag/16))
	ordered := unevenScene{scene: darkroomScene(), light: 0.03, coating: 0.03, inOrder: true}
	scattered := ordered
	scattered.inOrder = false
	got, left, free := ordered.try(t, seeds, nil), ordered.try(t, seeds, &Options{KeepUnevenness: true}), scattered.try(t, seeds, nil)
	got.log(t, "in order")
	left.log(t, "in order, left in")
	if stat.Mean(got.doubt, nil) < 1.2*stat.Mean(free.doubt, nil) {
		t.Errorf("doubt %.3f L*, scattered %.3f: want it larger", stat.Mean(got.doubt, nil), stat.Mean(free.doubt, nil))
	}
	if a, b := stat.Mean(got.tone, nil), stat.Mean(left.tone, nil); a > 1.4*b {
		t.Errorf("tone error %.3f L*, %.3f with unevenness left in", a, b)
	}
	if a, b := stat.Mean(got.held, nil), stat.Mean(left.held, nil); a < 0.75 || a <= b {
		t.Errorf("bands hold %.3f, %.3f with unevenness left in", a, b)
	}
	for inOrder, want := range map[bool]bool{true: true, false: false} {
		ordered.inOrder = inOrder
		e, err := Fit([]Print{ordered.print(1)}, nil)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(build(t, e, Request{}).Cautions, "\n")
		if strings.Contains(text, "not scattered") != want {
			t.Errorf("levels in order %v: cautions %q", inOrder, text)
		}
	}
}

// offMap is the root mean square distance of a lamp map from the true light.
func (l *LampMap) offMap(light func(spot) float64) float64 {
	var off []float64
	for i, y := range l.YMM {
		for k, x := range l.XMM {
			off = append(off, l.LogExposure[i][k]-light(spot{x, y}))
		}
	}
	return stat.PopStdDev(off, nil)
}

// Three prints under one lamp agree about it, and give its map; a fresh coating
// each is told apart from it. On even sheets there is no map.
func TestLampMap(t *testing.T) {
	t.Parallel()
	for seed := range uint64(3) {
		rng := rand.New(rand.NewPCG(*seedFlag, seed))
		a := unevenScene{light: 0.05, coating: 0.03, lamp: 40**seedFlag + seed}
		var prints []Print
		for k := range uint64(3) {
			a.scene = darkroomScene().handCoated(rng)
			prints = append(prints, a.print(100**seedFlag+10*seed+k))
		}
		e, err := Fit(prints, nil)
		if err != nil {
			t.Fatal(err)
		}
		u := e.Unevenness()
		if u.Lamp == nil || *u.Repeats < agreement || len(u.Prints) != 3 {
			t.Fatalf("seed %d: %+v, want a lamp map", seed, u)
		}
		light := falloff(rand.New(rand.NewPCG(a.lamp, 178)), a.light)
		off := u.Lamp.offMap(light)
		t.Logf("light of 0.05: map off by %.4f, %s", off, u.Lines()[0])
		if off > 0.008 {
			t.Errorf("seed %d: the map is off by %.4f", seed, off)
		}
		x := u.Lamp.Extent
		want := light(spot{x.Most.XMM, x.Most.YMM}) - light(spot{x.Least.XMM, x.Least.YMM})
		near(t, "range of the light", x.Range.Value, want, 4*x.Range.SD)
		if line := u.Lines(); len(line) != 1 || !strings.Contains(line[0], "alike in all 3 prints; coating varies by ") {
			t.Errorf("seed %d: %q", seed, line)
		}
	}
}

// A print turned under the lamp does not agree with the other; each print's own
// light is found all the same. The lamp stands above a corner.
func TestTurnedPrintDisagrees(t *testing.T) {
	t.Parallel()
	a := unevenScene{scene: darkroomScene(), light: 0.08, lamp: 3}
	first := a.print(1)
	a.turned = true
	e, err := Fit([]Print{first, a.print(2)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	u := e.Unevenness()
	if u.Lamp != nil {
		t.Errorf("a map of %+v, though %.2f of the light repeats", u.Lamp.Extent, *u.Repeats)
	}
	one, two := u.Prints[0].LogExposure, u.Prints[1].LogExposure
	if math.Hypot(one.Least.XMM-two.Least.XMM, one.Least.YMM-two.Least.YMM) < 100 {
		t.Errorf("least light at %v and, turned, at %v", one.Least, two.Least)
	}
	lines := u.Lines()
	if len(lines) != 2 || !strings.HasPrefix(lines[1], "Print 2: Light falls off by 0.") {
		t.Errorf("%q", lines)
	}
	if text := strings.Join(u.cautions(), ""); !strings.Contains(text, "raise the lamp") {
		t.Errorf("light of %+v is not cautioned: %q", one.Range, text)
	}
}

// Where unevenness is not looked for: no positions, too few, one row, or not
// wanted.
func TestNoUnevenness(t *testing.T) {
	a := unevenScene{scene: darkroomScene()}
	good := a.print(1)
	placedAt := func(x, y func(i int) float64) Print {
		return Print{Tablet: good.Tablet, Ramp: altered(good.Ramp, func(r *measure.Reading, i int) { r.XMM, r.YMM = x(i), y(i) })}
	}
	nan := func(int) float64 { return math.NaN() }
	along := func(i int) float64 { return 3 * float64(i) }
	few := func(i int) float64 {
		if i < leastPlaced-1 {
			return float64(i*i%97) * 2
		}
		return math.NaN()
	}
	for name, p := range map[string]Print{
		"no positions":      placedAt(nan, nan),
		"absurd positions":  placedAt(func(i int) float64 { return math.Inf(1 - 2*(i%2)) }, func(i int) float64 { return 1e308 }),
		"one row":           placedAt(along, func(i int) float64 { return 20 + 0.1*float64(i%2) }),
		"a slanting row":    placedAt(along, func(i int) float64 { return 20 + 2*float64(i) }),
		"nineteen patches":  placedAt(few, along),
		"a strip of tablet": {Tablet: good.Tablet},
	} {
		if s := newSurfaces([]Print{p}, false); s.count != 0 {
			t.Errorf("%s: unevenness is looked for", name)
		}
	}
	if s := newSurfaces([]Print{good}, true); s.count != 0 {
		t.Error("unevenness is looked for where it is to be kept")
	}
	if s := newSurfaces([]Print{good, {Tablet: good.Tablet}, good}, false); s.count != 2 || s.place[1] != -1 || !s.shared() {
		t.Errorf("of three prints two say where their patches lie: %+v", s.place)
	}
	e, err := Fit([]Print{placedAt(nan, nan)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if u := e.Unevenness(); u != nil || len(u.Lines())+len(u.cautions()) > 0 {
		t.Errorf("%+v", u)
	}
}

// Places as one sees them on the finished print.
func TestPlaceNames(t *testing.T) {
	a := Area{LeftMM: 10, TopMM: 20, RightMM: 110, BottomMM: 220}
	for want, p := range map[string]Place{"top left corner": {10, 20}, "top edge": {60, 20}, "right edge": {110, 120},
		"middle": {60, 120}, "bottom left corner": {12, 210}, "bottom right corner": {110, 220}} {
		if got := a.name(p); got != want {
			t.Errorf("%v is the %s, want the %s", p, got, want)
		}
	}
	for _, p := range []Place{{math.NaN(), 1e300}, {-1e300, math.Inf(1)}} {
		if got := (Area{}).name(p); got == "" {
			t.Errorf("%v has no name", p)
		}
	}
}

// A much worse sheet is cautioned in words for what it is.
func TestUnevenCautions(t *testing.T) {
	wide := Extent{Range: Value{0.14, 0.01}}
	thick := Extent{Range: Value{12, 1}}
	u := &Unevenness{Prints: []PrintUnevenness{{LogExposure: wide, NetDensity: thick, Order: 0.9}}}
	text := strings.Join(u.cautions(), "\n")
	for _, want := range []string{"differs by 0.14 (0.5 stops)", "Black differs by 12 %", "not scattered"} {
		if !strings.Contains(text, want) {
			t.Errorf("cautions %q, want %q", text, want)
		}
	}
	u.Prints[0] = PrintUnevenness{LogExposure: Extent{Range: Value{0.14, 0.10}}, NetDensity: Extent{Range: Value{7, 1}}, Order: 0.1}
	if got := u.cautions(); len(got) > 0 {
		t.Errorf("cautions %q of what does not show", got)
	}
}

// Patches without a place beside others that have one are named.
func TestPatchesWithoutAPlaceAreNamed(t *testing.T) {
	p := unevenScene{scene: darkroomScene()}.print(1)
	said := func() []string {
		e, err := Fit([]Print{p}, nil)
		if err != nil {
			t.Fatal(err)
		}
		return e.placeCautions()
	}
	if got := said(); len(got) > 0 {
		t.Errorf("all have a place: %q", got)
	}
	for i := range 10 {
		p.Ramp.Readings[i].XMM, p.Ramp.Readings[i].YMM = math.NaN(), math.NaN()
	}
	if got := said(); len(got) != 1 || !strings.Contains(got[0], fmt.Sprintf("10 of %d patches", len(p.Ramp.Readings))) {
		t.Errorf("ten have none: %q", got)
	}
}
