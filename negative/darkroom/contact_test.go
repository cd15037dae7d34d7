package darkroom

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"actinic/negative/chart"
	"actinic/process/density"
)

// flat is a film of one code, in millimetres at 100 ppi.
func flat(widthMM, heightMM int, code uint16) *raster16 {
	px := func(mm int) int { return int(math.Round(float64(mm) * 100 / 25.4)) }
	return columns(px(widthMM), px(heightMM), 1, func(int) uint16 { return code })
}

func contact(t testing.TB, s *Setup, film Film, f Frame) *ContactPrint {
	t.Helper()
	p, err := s.Contact(film, f)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func truth(t *testing.T, p *ContactPrint, r chart.Rect) Truth {
	t.Helper()
	v, err := p.PatchTruth(r)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// A faultless frame prints what a faultless sheet does, mirrored or not.
func TestContactOfAFaultlessFrame(t *testing.T) {
	s := NewSetup(5, SoftCorners, Warped)
	for _, up := range []bool{false, true} {
		want := expose(t, s, columns(120, 30, 1, ramp16(120)), Sheet{InkUp: up})
		got := contact(t, s, columns(120, 30, 1, ramp16(120)), Frame{PPI: 100, InkUp: up})
		for i := range want.L {
			if math.Abs(float64(got.L[i]-want.L[i])) > 2e-3 {
				t.Fatalf("ink up %v, pixel %d: L* %v, want %v", up, i, got.L[i], want.L[i])
			}
		}
	}
}

// Where the lamp shifts exposure, the print is that of the shifted exposure; the
// shift stays within its limit about a mean of nothing over the film.
func TestLampShiftsExposure(t *testing.T) {
	s := NewSetup(8, Probit, Smooth)
	const code, beyond = 40000, 10
	uv := s.UVDensity(100 * float64(65535-code) / 65535)
	for seed := range uint64(8) {
		lamp := Lamp{Seed: seed, Most: 0.03}
		p := contact(t, s, flat(120, 90, code), Frame{PPI: 100, BeyondMM: beyond, Lamp: lamp, Seed: seed * 7})
		shift := lamp.shift(p.WidthMM(), p.HeightMM(), p.BeyondMM)
		sum, most, n := 0.0, 0.0, 0
		for y := 1.0; y < 90; y += 2 {
			for x := 1.0; x < 120; x += 2 {
				v := shift.at(x+p.BeyondMM, y+p.BeyondMM)
				sum, most, n = sum+v, max(most, math.Abs(v)), n+1
				if int(x)%24 != 1 || int(y)%18 != 1 {
					continue
				}
				got := truth(t, p, chart.Rect{XMM: x - 0.2, YMM: y - 0.2, WidthMM: 0.4, HeightMM: 0.4}).Mean
				want := s.PrintDensity(density.LogExposure(v) - density.LogExposure(uv)).Lightness()
				if math.Abs(float64(got-want)) > 0.02 {
					t.Errorf("seed %d at %v, %v mm: L* %v, want %v", seed, x, y, got, want)
				}
			}
		}
		if mean := sum / float64(n); math.Abs(mean) > 5e-4 || most > 0.0301 || most < 0.025 {
			t.Errorf("seed %d: shift has mean %v and reaches %v, want 0 and 0.03", seed, mean, most)
		}
	}
}

// The same lamp lights two prints alike; the brush goes its own way each time.
func TestLampRepeatsAndCoatingDoesNot(t *testing.T) {
	lamp := Lamp{Seed: 3, Most: 0.03}
	a, b := lamp.shift(100, 80, 0), lamp.shift(100, 80, 0)
	if !slices.Equal(a.knots, b.knots) {
		t.Error("one lamp lights two prints differently")
	}
	c := Coating{Most: 0.03}
	x, y := c.weight(1, 100, 80, 0), c.weight(2, 100, 80, 0)
	together, xx, yy := 0.0, 0.0, 0.0
	for i := range x.knots {
		together += x.knots[i] * y.knots[i]
		xx += x.knots[i] * x.knots[i]
		yy += y.knots[i] * y.knots[i]
	}
	if r := together / math.Sqrt(xx*yy); r > 0.9 {
		t.Errorf("two coatings agree by %v", r)
	}
}

// Coating changes net density and leaves the paper as it is.
func TestCoatingChangesNetDensity(t *testing.T) {
	s := NewSetup(9, Photochemical, Smooth)
	f := Frame{PPI: 100, Coating: Coating{Most: 0.05}, Seed: 4}
	for _, code := range []uint16{65535, 0} {
		p := contact(t, s, flat(100, 80, code), f)
		weight := f.Coating.weight(f.Seed, p.WidthMM(), p.HeightMM(), 0)
		plain := s.PrintLightness(100*float64(65535-code)/65535).Density() - s.PaperDensity()
		for _, at := range [][2]float64{{10, 10}, {50, 40}, {90, 20}, {30, 70}} {
			got := truth(t, p, chart.Rect{XMM: at[0], YMM: at[1], WidthMM: 0.3, HeightMM: 0.3}).Mean
			want := (s.PaperDensity() + plain*density.Density(1+weight.at(at[0], at[1]))).Lightness()
			if math.Abs(float64(got-want)) > 0.02 {
				t.Errorf("code %d at %v: L* %v, want %v", code, at, got, want)
			}
		}
	}
}

func TestBrushEdgeLeavesBarePaper(t *testing.T) {
	s := NewSetup(9, Probit, Smooth)
	f := Frame{PPI: 100, BeyondMM: 10, FilmBase: 0.04, Coating: Coating{Ragged: true, EdgeMM: 4, RaggedMM: 2}, Seed: 4}
	p := contact(t, s, flat(80, 60, 65535), f)
	bare := float64(s.paperLightness())
	for name, c := range map[string]struct {
		r    chart.Rect
		want float64
	}{
		"the paper's rim":  {chart.Rect{XMM: -10, YMM: -10, WidthMM: 100, HeightMM: 2}, bare},
		"under the film":   {chart.Rect{XMM: 3, YMM: 3, WidthMM: 70, HeightMM: 50}, float64(s.PrintLightness(0))},
		"beside the film":  {chart.Rect{XMM: -1, YMM: 3, WidthMM: 0.8, HeightMM: 50}, float64(s.PrintDensity(0.04).Lightness())},
		"the opposite rim": {chart.Rect{XMM: 88, YMM: 0, WidthMM: 2, HeightMM: 60}, bare},
	} {
		if got := float64(truth(t, p, c.r).Mean); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: L* %v, want %v", name, got, c.want)
		}
	}
}

func (s *Setup) paperLightness() density.Lightness { return s.PaperDensity().Lightness() }

// Each step of a strip laid askew, either way round and in windows that lie or
// stand, prints its own density.
func TestTabletPrintsItsSteps(t *testing.T) {
	s := NewSetup(11, Photochemical, Smooth)
	for seed, window := range []chart.Rect{
		{XMM: 10, YMM: 10, WidthMM: 130, HeightMM: 30},
		{XMM: 20, YMM: 5, WidthMM: 30, HeightMM: 130},
		{XMM: 5, YMM: 20, WidthMM: 100, HeightMM: 25},
	} {
		tablet := TypicalTablet(window, uint64(seed))
		p := contact(t, s, flat(150, 140, 65535), Frame{PPI: 100, Tablet: tablet})
		for i, d := range tablet.Steps {
			got, err := p.StepTruth(i, 0.6)
			if err != nil {
				t.Fatal(err)
			}
			if want := s.TabletLightness(d); math.Abs(float64(got.Mean-want)) > 2e-3 {
				t.Errorf("window %d, step %d: L* %v, want %v", seed, i+1, got.Mean, want)
			}
		}
		if _, err := p.StepTruth(len(tablet.Steps), 0.6); err == nil {
			t.Error("a step past the last has a truth")
		}
	}
}

// The first step lies left or on top, and right or below when the strip lies
// the other way round.
func TestTabletLiesEitherWay(t *testing.T) {
	for _, c := range []struct {
		window   chart.Rect
		reversed bool
		x, y     float64
	}{
		{chart.Rect{WidthMM: 130, HeightMM: 30}, false, 18, 15},
		{chart.Rect{WidthMM: 130, HeightMM: 30}, true, 112, 15},
		{chart.Rect{WidthMM: 30, HeightMM: 130}, false, 15, 18},
		{chart.Rect{WidthMM: 30, HeightMM: 130}, true, 15, 112},
	} {
		tablet := &LaidTablet{Window: c.window, Steps: []density.Density{0.1, 0.5, 0.9, 1.3, 1.7}, StepMM: 20, WidthMM: 10, Reversed: c.reversed}
		if d, on := tablet.density(c.x, c.y); !on || d != 0.1 {
			t.Errorf("%+v reversed %v: density %v (%v) at %v, %v, want the first step", c.window, c.reversed, d, on, c.x, c.y)
		}
	}
}

func TestTapeLeavesPaperWhite(t *testing.T) {
	s := NewSetup(12, Probit, Smooth)
	tape := chart.Rect{XMM: 10, YMM: 10, WidthMM: 12, HeightMM: 12}
	p := contact(t, s, flat(40, 40, 65535), Frame{PPI: 100, Tape: &tape})
	if got := truth(t, p, tape).Mean; math.Abs(float64(got-s.paperLightness())) > 0.01 {
		t.Errorf("under the tape L* %v, want paper %v", got, s.paperLightness())
	}
}

// Faults are there, and the truth of a patch does not see them.
func TestTruthLeavesFaultsOut(t *testing.T) {
	s := NewSetup(13, SoftCorners, Smooth)
	clean := Frame{PPI: 100, BlurMM: 0.1, Seed: 5}
	dirty := clean
	dirty.Faults = Faults{Dust: 60, Hairs: 20, Pinholes: 60, Bronzed: 10, Nozzles: 5}
	a, b := contact(t, s, flat(100, 80, 20000), clean), contact(t, s, flat(100, 80, 20000), dirty)
	all := chart.Rect{WidthMM: 100, HeightMM: 80}
	want, got := truth(t, a, all), truth(t, b, all)
	if math.Abs(float64(got.Mean-want.Mean)) > 0.01 {
		t.Errorf("truth with faults L* %v, without %v", got.Mean, want.Mean)
	}
	if got.Spoiled < 0.005 || got.Spoiled > 0.5 {
		t.Errorf("faults touch %v of the print", got.Spoiled)
	}
	mean, _, err := b.Read(0, 0, b.Width, b.Height)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(mean-want.Mean)) < 0.05 {
		t.Error("the faults change nothing")
	}
}

// What an instrument sees is the mean of reflectance, lighter than the mean of
// L* by half the curvature times the spread: (d²Y/dL²)/(dY/dL) is 2/(L+16).
func TestReflectedTruthIsLighterBySpread(t *testing.T) {
	s := NewSetup(14, Probit, Smooth)
	p := contact(t, s, flat(100, 80, 30000), Frame{PPI: 100, Mottle: 3, MottleMM: 0.25, Seed: 1})
	v := truth(t, p, chart.Rect{WidthMM: 100, HeightMM: 80})
	want := 9.0 / (float64(v.Mean) + 16)
	if got := float64(v.Reflected - v.Mean); math.Abs(got/want-1) > 0.15 {
		t.Errorf("mean reflectance is %v L* lighter, want %v", got, want)
	}
}

func TestContactSameOnAnyNumberOfProcessors(t *testing.T) {
	s := NewSetup(13, SoftCorners, Kinked)
	print := func() []float32 {
		return contact(t, s, columns(203, 151, 3, ramp16(203)), TypicalFrame(8, 100)).L
	}
	many := print()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if !slices.Equal(many, print()) {
		t.Error("one processor gives another print")
	}
}

// A row of mottle is what its places are one by one.
func TestMottleRowIsItsPlaces(t *testing.T) {
	for _, size := range []int{1, 2, 5} {
		m := newMottle(7, size, 0.5)
		row := make([]float64, 33)
		for y := range 12 {
			m.row(y, row)
			for x, got := range row {
				if want := m.at(x, y); math.Abs(got-want) > 1e-12 {
					t.Fatalf("size %d at %d, %d: %v, want %v", size, x, y, got, want)
				}
			}
		}
	}
}

// An A4 film at 360 ppi: 14 million pixels of print.
func BenchmarkContactA4(b *testing.B) {
	s := NewSetup(1, Photochemical, Kinked)
	film := columns(2976, 4209, 1, ramp16(2976))
	for range b.N {
		film.next = 0
		contact(b, s, film, TypicalFrame(1, 360))
	}
}
