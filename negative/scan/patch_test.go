package scan

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"actinic/negative/chart"
	"actinic/process/density"

	"pgregory.net/rapid"
)

// spoil changes a share of a patch, from its left.
func (p *print) spoil(r chart.Rect, share, lstar float64) {
	p.change(func(x, y, l float64) float64 {
		if x > r.XMM && x < r.XMM+share*r.WidthMM && y > r.YMM && y < r.YMM+r.HeightMM {
			return lstar
		}
		return l
	})
}

// Patches that are not to be trusted say why; the others say nothing.
func TestFlagsNameTheReason(t *testing.T) {
	c := smallRamp(t, 150)
	patches := c.Pages[0].Patches
	middle := func(not ...int) int { // a patch of middle tone
		for i, p := range patches {
			if l := tone(*p.Ink / 100); l > 50 && l < 75 && (len(not) == 0 || i > not[0]) {
				return i
			}
		}
		t.Fatal("no patch of middle tone")
		return 0
	}
	half := middle()
	spotted := middle(half)
	p := contact(t, c, 0)
	p.mottle(0.4, 0.5, 1)
	p.spoil(patches[half].Rect, 0.45, 92) // the brush did not reach it
	p.spoil(patches[spotted].Rect, 0.32, 20)
	r := mustRead(t, c, nil, p.scan(bed{ppi: 150, angle: 1, marginMM: 4, noise: 150, seed: 5}).input("scan.tif"))
	for i, reading := range r.Readings {
		if want := i == half || i == spotted; want != (reading.Flag != "") {
			t.Errorf("%s (%.0f %% ink): flag %q, want one: %v", reading.ID, *reading.patch.Ink, reading.Flag, want)
		}
	}
	if f := r.Readings[half].Flag; !strings.Contains(f, "halves differ") && !strings.Contains(f, "spots") && !strings.Contains(f, "uneven") {
		t.Errorf("half a patch uncoated: %q", f)
	}
}

// Dust, hairs and pinholes have no say in the mean.
func TestDustHasNoSay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		lstar := rapid.Float64Range(15, 95).Draw(t, "lstar")
		grain := rapid.Float64Range(0, 2).Draw(t, "grain")
		share := rapid.Float64Range(0, 0.08).Draw(t, "dust")
		side := rapid.IntRange(12, 80).Draw(t, "side")
		p := &Plane{Width: side, Height: side, Reduced: 1, Root: make([]uint16, side*side)}
		sum, n := 0.0, 0
		for i := range p.Root {
			l := min(max(lstar+grain*random.NormFloat64(), 0), 100)
			y := float64(density.Lightness(l).Reflectance())
			if random.Float64() < share {
				y = float64(density.Lightness(math.Mod(lstar+30+20*random.Float64(), 100)).Reflectance())
			} else {
				sum, n = sum+y, n+1
			}
			p.Root[i] = toRoot(float32(y))
		}
		r := newReader(p, newClipping(side, side), plainTone())
		got := r.read(area{xMM: float64(side) / 2, yMM: float64(side) / 2, halfWMM: float64(side) / 2, halfHMM: float64(side) / 2}, flatMap{1})
		want := lightness(sum / float64(n))
		if limit := 0.1 + 4*grain/float64(side); math.Abs(got.Lstar-want) > limit {
			t.Errorf("L* %.3f, want %.3f within %.2f", got.Lstar, want, limit)
		}
	})
}

// What an instrument sees is the mean reflectance, not the mean of L*: half black
// and half white grain reads far above the middle. (CIE 15:2018: L* of the mean Y.)
func TestMeanIsOfReflectance(t *testing.T) {
	const side = 40
	p := &Plane{Width: side, Height: side, Reduced: 1, Root: make([]uint16, side*side)}
	for i := range p.Root {
		p.Root[i] = toRoot([2]float32{0.1, 0.3}[(i+i/side)%2])
	}
	r := newReader(p, newClipping(side, side), plainTone())
	got := r.read(area{xMM: side / 2, yMM: side / 2, halfWMM: side / 2, halfHMM: side / 2}, flatMap{1})
	if want := lightness(0.2); math.Abs(got.Lstar-want) > 0.01 || got.Count != side*side {
		t.Errorf("L* %.3f of %d pixels, want %.3f of %d", got.Lstar, got.Count, want, side*side)
	}
}

func TestClippingIsFlagged(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	for name, test := range map[string]struct {
		code func(float64) float64
		bits int
		flag string
		is   func(l float64) bool
	}{
		"white, 16 bits": {func(y float64) float64 { return min(sRGB(y)*1.08, 1) }, 16, "the scanner clips its white", func(l float64) bool { return sRGB(float64(density.Lightness(l).Reflectance()))*1.08 > 1.005 }},
		"white, 8 bits":  {func(y float64) float64 { return min(sRGB(y)*1.08, 1) }, 8, "the scanner clips its white", func(l float64) bool { return sRGB(float64(density.Lightness(l).Reflectance()))*1.08 > 1.005 }},
		"black, 8 bits":  {func(y float64) float64 { return max(sRGB(y)*1.3-0.3, 0) }, 8, "the scanner clips its black", func(l float64) bool { return sRGB(float64(density.Lightness(l).Reflectance())) < 0.22 }},
	} {
		r := mustRead(t, c, nil, p.scan(bed{ppi: 150, marginMM: 4, code: test.code, noise: 30, bits: test.bits}).input("scan.tif"))
		n := 0
		for _, reading := range r.Readings {
			want := test.is(tone(*reading.patch.Ink / 100))
			if want {
				n++
			}
			if want && reading.Flag != test.flag {
				t.Errorf("%s, %s of L* %.1f: flag %q", name, reading.ID, tone(*reading.patch.Ink/100), reading.Flag)
			}
		}
		if n == 0 || !contains(r.Notices, test.flag) {
			t.Errorf("%s: %d patches are clipped, notices %q", name, n, r.Notices)
		}
	}
}

func TestLinearScan(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	s := p.scan(bed{ppi: 150, marginMM: 4, code: func(y float64) float64 { return y }})
	if rms, most := errorsOf(mustRead(t, c, &Options{Linear: true}, s.input("scan.tif")), p); rms > 0.05 {
		t.Errorf("off by %.3f L*, %.3f at most", rms, most)
	}
}

// A blue print is all but invisible in the blue channel, and the user is told.
func TestChannelWarnsOfColour(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	s := p.scan(bed{ppi: 150, marginMM: 4, noise: 100})
	grey := mustRead(t, c, &Options{Channel: Green}, s.input("scan.tif"))
	if rms, _ := errorsOf(grey, p); rms > 0.05 || contains(grey.Notices, "channel") {
		t.Errorf("green channel of a grey print: off by %.3f L*, notices %q", rms, grey.Notices)
	}
	for i := 0; i < len(s.samples); i += 3 { // blue: red goes down to the full, blue by a third
		v := float64(s.samples[i]) / 65535
		s.samples[i+2] = uint16(65535 * (0.66 + 0.3*v))
	}
	if r := mustRead(t, c, &Options{Channel: Blue}, s.input("scan.tif")); !contains(r.Notices, "the blue channel shows") {
		t.Errorf("blue channel of a blue print: notices %q", r.Notices)
	}
	if r := mustRead(t, c, &Options{Channel: Red}, s.input("scan.tif")); !contains(r.Notices, "strongly coloured") {
		t.Errorf("red channel of a blue print: notices %q", r.Notices)
	}
}
