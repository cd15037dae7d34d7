package darkroom

import (
	"math"
	"testing"

	"actinic/process/density"
)

// eachPrinter runs check on printers with and without light inks, soft and
// abrupt.
func eachPrinter(t *testing.T, check func(t *testing.T, p *Printer)) {
	t.Helper()
	for seed := range uint64(48) {
		check(t, NewPrinter(seed, PrinterOptions{LightInks: seed%2 == 1, Abrupt: seed/2%2 == 1}))
	}
}

func uv(p *Printer, r, g, b float64) float64 { return float64(p.UVDensity([3]float64{r, g, b})) }

func TestClearFilmStopsNothing(t *testing.T) {
	eachPrinter(t, func(t *testing.T, p *Printer) {
		if got := uv(p, 255, 255, 255); got != 0 {
			t.Errorf("seed %d: clear film has UV density %v", p.Seed(), got)
		}
	})
}

func TestDensestColourIsAsAsked(t *testing.T) {
	for seed := range uint64(12) {
		for _, want := range []density.Density{0.8, 2.4, 3.5} {
			p := NewPrinter(seed, PrinterOptions{Densest: want, LightInks: seed%2 == 1})
			if got := p.UVDensity(p.Densest()); math.Abs(float64(got-want)) > 1e-9 {
				t.Errorf("seed %d: densest colour %v, want %v", seed, got, want)
			}
			if got := uv(p, 85, 13, 170); got < 0 || got > 1.02*float64(want) {
				t.Errorf("seed %d: a colour of %v, the densest of %v", seed, got, want)
			}
		}
	}
}

// Lone inks: yellow stops more than cyan and magenta do, and many a colour more
// than 0, 0, 0.
func TestStrongAndWeakInks(t *testing.T) {
	printers, blackIsWeak := 0, 0
	eachPrinter(t, func(t *testing.T, p *Printer) {
		y, c, m := uv(p, 255, 255, 0), uv(p, 0, 255, 255), uv(p, 255, 0, 255)
		if y <= c || y <= m {
			t.Errorf("seed %d: yellow %.2f, cyan %.2f, magenta %.2f", p.Seed(), y, c, m)
		}
		printers++
		if uv(p, 0, 0, 0) < 0.95*float64(p.UVDensity(p.Densest())) {
			blackIsWeak++
		}
	})
	if blackIsWeak < printers/2 {
		t.Errorf("0, 0, 0 is well short of the densest colour in %d of %d printers", blackIsWeak, printers)
	}
}

// More of a channel stops more, but not everywhere.
func TestPrinterRisesMostly(t *testing.T) {
	reversing := 0
	eachPrinter(t, func(t *testing.T, p *Printer) {
		back, all := 0, 0
		for _, c := range lattice(10) {
			for i := range c {
				more := c
				if more[i] -= 25.5; more[i] < 0 {
					continue
				}
				all++
				if p.UVDensity(more) < p.UVDensity(c) {
					back++
				}
			}
		}
		if share := float64(back) / float64(all); share > 0.35 {
			t.Errorf("seed %d: %.2f of the steps turn back", p.Seed(), share)
		}
		if back > 0 {
			reversing++
		}
	})
	if reversing == 0 {
		t.Error("no printer reverses anywhere")
	}
}

// lattice is the colours of a cube of steps+1 values a channel.
func lattice(steps int) [][3]float64 {
	var all [][3]float64
	v := func(i int) float64 { return 255 * float64(i) / float64(steps) }
	for r := range steps + 1 {
		for g := range steps + 1 {
			for b := range steps + 1 {
				all = append(all, [3]float64{v(r), v(g), v(b)})
			}
		}
	}
	return all
}

// Abrupt light inks leap: the largest step of the straight line to black over its
// mean step is far larger than without them.
func TestLightInksLeap(t *testing.T) {
	steepest := func(o PrinterOptions) float64 {
		sum := 0.0
		for seed := range uint64(24) {
			p, most := NewPrinter(seed, o), 0.0
			for v := 254.0; v >= 0; v-- {
				most = max(most, math.Abs(uv(p, v, v, v)-uv(p, v+1, v+1, v+1)))
			}
			sum += most * 255 / uv(p, 0, 0, 0) / 24
		}
		return sum
	}
	none, abrupt := steepest(PrinterOptions{}), steepest(PrinterOptions{LightInks: true, Abrupt: true})
	t.Logf("largest step over mean step: %.1f without light inks, %.1f with", none, abrupt)
	if none > 3 || abrupt < 1.7*none {
		t.Errorf("largest step over mean step %.1f without light inks, %.1f with", none, abrupt)
	}
}

func TestWholeCodesMakeStairs(t *testing.T) {
	p := NewPrinter(5, PrinterOptions{WholeCodes: true})
	if uv(p, 100.4, 30, 255) != uv(p, 99.6, 30, 255) || uv(p, 100.6, 30, 255) == uv(p, 100, 30, 255) {
		t.Error("code values are not rounded")
	}
}

// A printer's irregularity is small: the UV density without it is near.
func TestWobbleIsSmall(t *testing.T) {
	var squares, n float64
	eachPrinter(t, func(t *testing.T, p *Printer) {
		even, driver := *p, *p.driver
		driver.wobble = [3]wobble{}
		even.driver = &driver
		for _, c := range lattice(6) {
			d := float64(p.UVDensity(c) - even.UVDensity(c))
			squares, n = squares+d*d, n+1
		}
	})
	if sd := math.Sqrt(squares / n); sd < 0.003 || sd > 0.03 {
		t.Errorf("the wobble moves UV density by %.4f", sd)
	}
}

func TestSamePrinterForSameSeed(t *testing.T) {
	s := NewSetup(3, Probit, Smooth)
	a, b, other := PrinterFor(s, 7), PrinterFor(s, 7), PrinterFor(s, 8)
	c := [3]float64{40, 90, 10}
	if a.UVDensity(c) != b.UVDensity(c) || a.UVDensity(c) == other.UVDensity(c) {
		t.Error("a printer does not follow from its seed")
	}
}

// colourFilm is a film of 4 colours in columns of 10 pixels.
func colourFilm(colours [4][3]uint16) *raster16 {
	f := &raster16{width: 40, channels: 3}
	for range 12 {
		for x := range 40 {
			c := colours[x/10]
			f.samples = append(f.samples, c[:]...)
		}
	}
	return f
}

// Through pictures a colour prints as by numbers.
func TestPrinterThroughPictures(t *testing.T) {
	s := NewSetup(21, SoftCorners, Smooth)
	s = s.With(PrinterFor(s, 3))
	colours := [4][3]uint16{{65535, 65535, 65535}, {65535, 30000, 12345}, {0, 65535, 20000}, {300, 200, 100}}
	byExpose := expose(t, s, colourFilm(colours), Sheet{InkUp: true})
	byContact, err := s.Contact(colourFilm(colours), Frame{PPI: 25.4, InkUp: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range colours {
		want := float64(s.ColourLightness([3]float64{float64(c[0]) / 257, float64(c[1]) / 257, float64(c[2]) / 257}))
		for way, p := range map[string]*Picture{"Expose": byExpose, "Contact": &byContact.Picture} {
			if got := float64(p.L[5*40+10*i+4]); math.Abs(got-want) > 0.02 {
				t.Errorf("%s: colour %d prints %.3f, want %.3f", way, i, got, want)
			}
		}
	}
	if s.ColourLightness([3]float64{255, 255, 255}) != s.TabletLightness(0) {
		t.Error("clear film prints otherwise than no density")
	}
}

// Ink lies along the neutral ramp, or along a path that is given.
func TestInkAlongAPath(t *testing.T) {
	s := NewSetup(4, Probit, Smooth)
	p := PrinterFor(s, 5)
	neutral := s.With(p)
	green := neutral.Along(func(percent float64) [3]float64 { return [3]float64{255 - 2.55*percent, 255, 255 - 2*percent} })
	if neutral.UVDensity(40) != p.UVDensity([3]float64{153, 153, 153}) || neutral.UVDensity(0) != 0 {
		t.Error("ink does not lie on the neutral ramp")
	}
	if green.UVDensity(100) != p.UVDensity([3]float64{0, 255, 55}) || green.InkRange() != green.UVDensity(100) {
		t.Error("ink does not lie along the path")
	}
	if neutral.UVDensity(100) != p.UVDensity([3]float64{}) || s.Printer() != nil {
		t.Error("a setup has changed")
	}
}

func TestColourReadings(t *testing.T) {
	s := NewSetup(4, Photochemical, Smooth)
	s = s.With(PrinterFor(s, 6))
	colours := lattice(3)
	rs := s.ColourReadings(colours, Print{}, Noise{}, Random(1, 1))
	seen := map[string]bool{}
	for i, r := range rs {
		if r.RGB != colours[i] || math.Abs(float64(r.Lightness-s.ColourLightness(colours[i]))) > 1e-9 {
			t.Fatalf("reading %d is of %v and prints %v", i, r.RGB, r.Lightness)
		}
		if seen[r.ID] || !math.IsNaN(r.Ink) || !math.IsNaN(float64(r.Tablet)) {
			t.Fatalf("reading %d is %+v", i, r)
		}
		seen[r.ID] = true
	}
	brighter := s.ColourReadings(colours, Print{Offset: 0.6}, Noise{}, Random(1, 1))
	for i := range rs {
		if brighter[i].Lightness > rs[i].Lightness {
			t.Fatalf("more exposure prints %v lighter", colours[i])
		}
	}
}
