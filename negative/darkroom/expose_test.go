package darkroom

import (
	"errors"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// raster16 is a film raster in memory.
type raster16 struct {
	width, channels int
	samples         []uint16
	next            int
	err             error
}

func (r *raster16) Size() (int, int, int) {
	return r.width, len(r.samples) / (r.width * r.channels), r.channels
}

func (r *raster16) ReadRow(row []uint16) error {
	if r.err != nil {
		return r.err
	}
	copy(row, r.samples[r.next:])
	r.next += len(row)
	return nil
}

// columns returns a film whose column x holds sample code(x), in every channel.
func columns(width, height, channels int, code func(x int) uint16) *raster16 {
	f := &raster16{width: width, channels: channels}
	for range height {
		for x := range width {
			for range channels {
				f.samples = append(f.samples, code(x))
			}
		}
	}
	return f
}

func ramp16(width int) func(x int) uint16 {
	return func(x int) uint16 { return uint16(65535 - 65535*x/(width-1)) }
}

func expose(t *testing.T, s *Setup, film Film, sheet Sheet) *Picture {
	t.Helper()
	p, err := s.Expose(film, sheet)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A faultless sheet through pictures is the same print as by numbers, and lies
// mirrored.
func TestExposeIsPrintLightnessMirrored(t *testing.T) {
	for _, f := range Families {
		s := NewSetup(5, f, Warped)
		for _, channels := range []int{1, 3} {
			p := expose(t, s, columns(101, 3, channels, ramp16(101)), Sheet{})
			for x := range 101 {
				got, _, err := p.Read(100-x, 0, 1, 3)
				if err != nil {
					t.Fatal(err)
				}
				code := ramp16(101)(x)
				want := s.PrintLightness(100 * float64(65535-code) / 65535)
				if math.Abs(float64(got-want)) > 2e-3 {
					t.Errorf("%v, %d channels, column %d: L* %v, want %v", f, channels, x, got, want)
				}
			}
		}
	}
}

func TestInkUpIsNotMirrored(t *testing.T) {
	s := NewSetup(5, Probit, Smooth)
	a := expose(t, s, columns(50, 1, 1, ramp16(50)), Sheet{})
	b := expose(t, s, columns(50, 1, 1, ramp16(50)), Sheet{InkUp: true})
	for x := range 50 {
		if a.L[x] != b.L[49-x] {
			t.Fatalf("column %d: %v and %v", x, a.L[x], b.L[49-x])
		}
	}
}

func TestColourWeighsItsOwnInk(t *testing.T) {
	if got := InkOf(1, 1, 1); got != 0 {
		t.Errorf("clear film has ink %v", got)
	}
	if got := InkOf(0, 0, 0); got != 100 {
		t.Errorf("full ink is %v", got)
	}
	if got := InkOf(0.4, 0.4, 0.4); math.Abs(got-60) > 1e-9 {
		t.Errorf("neutral 0.4 is ink %v, want 60", got)
	}
	if InkOf(1, 1, 0) <= InkOf(0, 1, 1) {
		t.Error("yellow ink stops no more ultraviolet than cyan")
	}
	pixel := []uint16{60000, 30000, 12345}
	want := InkOf(60000.0/65535, 30000.0/65535, 12345.0/65535)
	if got := float64(darkness(pixel)) / 655.35; math.Abs(got-want) > 1e-3 {
		t.Errorf("pixel is ink %v, InkOf says %v", got, want)
	}
}

func TestFilterPrintsAsTablet(t *testing.T) {
	s := NewSetup(11, Photochemical, Smooth)
	clear := columns(40, 20, 1, func(int) uint16 { return 65535 })
	p := expose(t, s, clear, Sheet{Filters: []Filter{{X: 10, Y: 5, Width: 10, Height: 10, Density: 0.65}}})
	under, spread, err := p.Read(10, 5, 10, 10)
	if err != nil {
		t.Fatal(err)
	}
	if want := s.TabletLightness(0.65); math.Abs(float64(under-want)) > 2e-3 || spread > 1e-5 {
		t.Errorf("under the step %v +- %v, want %v", under, spread, want)
	}
	beside, _, _ := p.Read(0, 0, 10, 20)
	if want := s.PrintLightness(0); math.Abs(float64(beside-want)) > 2e-3 {
		t.Errorf("beside the step %v, want %v", beside, want)
	}
}

func TestMottleHasTheGivenSize(t *testing.T) {
	s := NewSetup(12, Probit, Smooth)
	for _, size := range []int{1, 4, 7} {
		film := columns(600, 600, 1, func(int) uint16 { return 26000 })
		p := expose(t, s, film, Sheet{Mottle: 0.5, MottleSize: size, Seed: 4})
		mean, spread, err := p.Read(0, 0, 600, 600)
		if err != nil {
			t.Fatal(err)
		}
		// 7-pixel spots leave 7000 independent ones: 0.9 % on the spread.
		if math.Abs(spread/0.5-1) > 0.05 {
			t.Errorf("size %d: mottle of %v L*, want 0.5", size, spread)
		}
		want := s.PrintLightness(100 * float64(65535-26000) / 65535)
		if math.Abs(float64(mean-want)) > 0.04 {
			t.Errorf("size %d: mean %v, want %v", size, mean, want)
		}
	}
}

func TestUnevennessStaysWithinItsLimit(t *testing.T) {
	for seed := range uint64(50) {
		s := newSurface(seed, 0.03)
		most := 0.0
		for y := range 40 {
			row := s.row(y, 30, 40)
			for x := range 30 {
				most = max(most, math.Abs(row.at(x)))
			}
		}
		if most > 0.03 || most < 0.004 {
			t.Errorf("seed %d: unevenness reaches %v, want up to 0.03", seed, most)
		}
	}
}

// Blur keeps the light that falls and spreads an edge as the normal integral.
func TestBlurSpreadsAnEdge(t *testing.T) {
	p := &Picture{Width: 60, Height: 5, L: make([]float32, 300)}
	for i := range p.L {
		if i%60 >= 30 {
			p.L[i] = 1
		}
	}
	blur(p, 2)
	for x := range 60 {
		want := 0.5 * math.Erfc(-(float64(x)-29.5)/(2*math.Sqrt2))
		if got := float64(p.L[2*60+x]); math.Abs(got-want) > 0.005 {
			t.Errorf("column %d: %v, want %v", x, got, want)
		}
	}
}

func TestExposeSameOnAnyNumberOfProcessors(t *testing.T) {
	s := NewSetup(13, SoftCorners, Kinked)
	print := func() []float32 {
		return expose(t, s, columns(203, 101, 3, ramp16(203)), TypicalSheet(8)).L
	}
	many := print()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if !slices.Equal(many, print()) {
		t.Error("one processor gives another print")
	}
}

func TestReadRefusesWhatIsNotOnThePrint(t *testing.T) {
	p := &Picture{Width: 4, Height: 3, L: make([]float32, 12)}
	for _, r := range [][4]int{{-1, 0, 2, 2}, {0, 0, 5, 1}, {0, 2, 1, 2}, {0, 0, 0, 1}} {
		if _, _, err := p.Read(r[0], r[1], r[2], r[3]); err == nil {
			t.Errorf("rectangle %v was read", r)
		}
	}
}

func TestExposeRefusesFilmItCannotRead(t *testing.T) {
	s := NewSetup(1, Probit, Smooth)
	_, err := s.Expose(&raster16{width: 2, channels: 1, samples: make([]uint16, 4), err: io.ErrUnexpectedEOF}, Sheet{})
	if !errors.Is(err, io.ErrUnexpectedEOF) || !strings.Contains(err.Error(), "row 1 of 2") {
		t.Errorf("broken film: %v", err)
	}
	if _, err := s.Expose(&raster16{width: 2, channels: 2, samples: make([]uint16, 8)}, Sheet{}); err == nil {
		t.Error("a film of two channels was printed")
	}
}

// Codes of IEC 61966-2-1 by its formula: mid grey L* 50 is Y 0.184187, which
// encodes to 0.466327 (computed by hand from the standard's two formulas).
func TestGreyRowIsSRGB(t *testing.T) {
	p := &Picture{Width: 4, Height: 1, L: []float32{0, 50, 100, 5}}
	row := make([]uint16, 4)
	p.GreyRow(0, row)
	dark := 12.92 * 5 / (24389.0 / 27)
	if y := 5 / (24389.0 / 27); y > 0.0031308 {
		dark = 1.055*math.Pow(y, 1/2.4) - 0.055
	}
	want := []uint16{0, 30561, 65535, uint16(math.Round(65535 * dark))}
	for i := range row {
		if d := int(row[i]) - int(want[i]); d < -1 || d > 1 {
			t.Errorf("L* %v: code %d, want %d", p.L[i], row[i], want[i])
		}
	}
}

func BenchmarkExpose8MP(b *testing.B) {
	s := NewSetup(1, Photochemical, Kinked)
	film := columns(3000, 2667, 1, ramp16(3000))
	for range b.N {
		film.next = 0
		if _, err := s.Expose(film, TypicalSheet(1)); err != nil {
			b.Fatal(err)
		}
	}
}
