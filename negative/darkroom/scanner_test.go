package darkroom

import (
	"context"
	"io"
	"math"
	"runtime"
	"slices"
	"testing"

	"actinic/process/density"
)

// wedge is a clean print of 60 x 40 mm at 200 ppi from a ramp of inks.
func wedge(t testing.TB, s *Setup, hue Hue) *ContactPrint {
	return contact(t, s, columns(472, 315, 1, ramp16(472)), Frame{PPI: 200, Hue: hue})
}

// scanAll returns the rows of a scan.
func scanAll(t testing.TB, s *Scanned) [][]uint16 {
	t.Helper()
	var rows [][]uint16
	for {
		row := make([]uint16, s.Header().RowSamples())
		n, err := s.ReadRows(context.Background(), [][]uint16{row})
		if err == io.EOF {
			return rows
		}
		if err != nil || n != 1 {
			t.Fatal(n, err)
		}
		rows = append(rows, row)
	}
}

// light undoes the sRGB encoding of a code (IEC 61966-2-1:1999, decoding).
func light(code uint16) float64 {
	v := float64(code) / 65535
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// lightnessAt is L* of a pixel of a scan of 1 or 3 channels.
func lightnessAt(rows [][]uint16, channels, x, y int) float64 {
	if channels == 1 {
		return float64(density.Reflectance(light(rows[y][x])).Lightness())
	}
	p := rows[y][3*x:]
	return float64(density.Reflectance(redY*light(p[0]) + greenY*light(p[1]) + blueY*light(p[2])).Lightness())
}

// at returns L* of a print at a place, as its pixels have it.
func (p *ContactPrint) lightnessAt(xMM, yMM float64) float64 {
	x, y := p.pixel(xMM, yMM)
	return float64(p.L[int(y)*p.Width+int(x)])
}

// Wherever the sheet lies, however it is turned, shrunk and curled, in whatever
// colour: the scan shows at PixelOf the lightness that the print has there.
func TestScanShowsThePrint(t *testing.T) {
	s := NewSetup(3, SoftCorners, Smooth)
	for name, o := range map[string]ScannerOptions{
		"as it is":      {PPI: 200},
		"turned":        {PPI: 300, Channels: 3, Bits: 16, AngleDegrees: 7},
		"on its side":   {PPI: 150, Channels: 3, AngleDegrees: 90},
		"on its head":   {PPI: 200, Channels: 1, Bits: 16, AngleDegrees: 183},
		"a third turn":  {PPI: 200, Bits: 16, AngleDegrees: 270, Lid: 90},
		"shrunk":        {PPI: 250, Bits: 16, ShrinkX: 0.02, ShrinkY: 0.005, AngleDegrees: -4},
		"curled":        {PPI: 300, Bits: 16, CurlMM: 1, AngleDegrees: 2, Seed: 5},
		"on a wide bed": {PPI: 200, Channels: 3, Bits: 16, BedWidthMM: 210, BedHeightMM: 297, OffsetXMM: 50, OffsetYMM: -60},
		"fine":          {PPI: 1200, Bits: 16, BedWidthMM: 62, BedHeightMM: 42},
	} {
		for _, hue := range []Hue{Blue, Brown} {
			p := wedge(t, s, hue)
			scan := Scan(p, o)
			rows := scanAll(t, scan)
			for _, at := range [][2]float64{{8, 5}, {30, 20}, {50, 35}, {12, 30}, {45, 8}} {
				x, y := scan.PixelOf(at[0], at[1])
				got, want := lightnessAt(rows, max(o.Channels, 1), int(x), int(y)), p.lightnessAt(at[0], at[1])
				limit := 0.35 // half a pixel of the wedge, or a step of 8 bits
				if math.Abs(got-want) > limit {
					t.Errorf("%s, %v at %v: L* %.3f, want %.3f", name, hue, at, got, want)
				}
			}
		}
	}
}

// A place goes to the scan and back to itself.
func TestPlacementThereAndBack(t *testing.T) {
	p := wedge(t, NewSetup(3, Probit, Smooth), Neutral)
	l := newPlacement(p, ScannerOptions{PPI: 300, AngleDegrees: 33, ShrinkX: 0.01, ShrinkY: -0.01, CurlMM: 1, OffsetXMM: 4})
	for x := 0.0; x <= 60; x += 7 {
		for y := 0.0; y <= 40; y += 7 {
			gotX, gotY := l.onPrint(l.onBed(x, y))
			if math.Hypot(gotX-x, gotY-y) > 1e-6 {
				t.Errorf("%v, %v comes back as %v, %v", x, y, gotX, gotY)
			}
		}
	}
}

// Lines too fine for the scan turn grey, of the mean of their light; they make
// no pattern.
func TestFineLinesTurnGreyWithoutPattern(t *testing.T) {
	p := &ContactPrint{Picture: Picture{Width: 800, Height: 400, L: make([]float32, 320000)}, PPI: 720}
	for i := range p.L {
		if i/2%2 == 0 {
			p.L[i] = 90
		} else {
			p.L[i] = 30
		}
	}
	want := float64((density.Lightness(90).Reflectance() + density.Lightness(30).Reflectance()) / 2)
	rows := scanAll(t, Scan(p, ScannerOptions{PPI: 150, Bits: 16, AngleDegrees: 5, BedWidthMM: 20, BedHeightMM: 10}))
	for y := range 40 {
		for x := range 90 {
			if got := light(rows[10+y][14+x]); math.Abs(got/want-1) > 0.04 {
				t.Fatalf("pixel %d, %d: luminance %v, want %v", x, y, got, want)
			}
		}
	}
}

// Flare adds its share of the bed's mean light, and takes as much from the rest.
func TestFlareLiftsBlack(t *testing.T) {
	p := &ContactPrint{Picture: Picture{Width: 400, Height: 400, L: make([]float32, 160000)}, PPI: 100}
	for i := range p.L {
		if i%400 >= 200 {
			p.L[i] = 100
		}
	}
	o := ScannerOptions{PPI: 100, Bits: 16, BedWidthMM: 101.6, BedHeightMM: 101.6, Flare: 0.02}
	rows := scanAll(t, Scan(p, o))
	if got := light(rows[200][50]); math.Abs(got-0.01) > 1e-3 {
		t.Errorf("black has luminance %v, want half of the flare, 0.01", got)
	}
	if got := light(rows[200][350]); math.Abs(got-0.99) > 1e-3 {
		t.Errorf("white has luminance %v, want 0.99", got)
	}
	o.Flare, o.NearFlare = 0, 0.02
	rows = scanAll(t, Scan(p, o))
	far, near := light(rows[200][20]), light(rows[200][197])
	if far > 1e-4 || near < 0.007 || near > 0.011 {
		t.Errorf("near flare: %v far from white and %v beside it, want 0 and near 0.01", far, near)
	}
}

// Black and white of the file lie where the options put them.
func TestScanClips(t *testing.T) {
	p := wedge(t, NewSetup(3, Probit, Smooth), Neutral)
	rows := scanAll(t, Scan(p, ScannerOptions{PPI: 100, Bits: 16, Black: 0.2, White: 0.6, Linear: true, BedWidthMM: 60, BedHeightMM: 40}))
	for x := 4; x < 230; x += 9 {
		y := float64(density.Lightness(p.lightnessAt((float64(x)+0.5)*0.254, 20)).Reflectance())
		want := min(max((y-0.2)/0.4, 0), 1)
		if got := float64(rows[80][x]) / 65535; math.Abs(got-want) > 0.02 {
			t.Errorf("column %d: code %v, want %v", x, got, want)
		}
	}
}

// The noise has the stated size at white, and eight bits hold multiples of 257.
func TestNoiseAndDepth(t *testing.T) {
	p := &ContactPrint{Picture: Picture{Width: 100, Height: 100, L: make([]float32, 10000)}, PPI: 100}
	for i := range p.L {
		p.L[i] = 95
	}
	y := float64(density.Lightness(95).Reflectance())
	rows := scanAll(t, Scan(p, ScannerOptions{PPI: 400, Bits: 16, Linear: true, Noise: 0.01, BedWidthMM: 20, BedHeightMM: 20}))
	sum, squares, n := 0.0, 0.0, 0.0
	for _, row := range rows {
		for _, code := range row {
			d := float64(code)/65535 - y
			sum, squares, n = sum+d, squares+d*d, n+1
		}
	}
	want := 0.01 * math.Sqrt(0.02+0.98*y)
	if sd := math.Sqrt(squares / n); math.Abs(sd/want-1) > 0.02 || math.Abs(sum/n) > 1e-4 {
		t.Errorf("noise %v about %v, want %v about 0", sd, sum/n, want)
	}
	for _, code := range scanAll(t, Scan(p, ScannerOptions{PPI: 50, Noise: 0.01}))[9] {
		if code%257 != 0 {
			t.Fatalf("8-bit scan has code %d", code)
		}
	}
}

// Every colour of a hue has the luminance it stands for. The weights are those
// of the sRGB profile of ICC version 2 (colorants 0.2225, 0.7169, 0.0606 in Y).
func TestHuesKeepLuminance(t *testing.T) {
	for _, h := range Hues {
		for i, c := range h.table() {
			y := float64(i) / hueSteps * (float64(i) / hueSteps)
			got := 0.22249*float64(c[0]) + 0.71688*float64(c[1]) + 0.06063*float64(c[2])
			if math.Abs(got-y) > 1e-4 {
				t.Errorf("%v at luminance %v: %v of %v", h, y, got, c)
			}
		}
	}
	mid := hueSteps * 2 / 5
	if c := Blue.table()[mid]; !(c[2] > 2*c[0]) {
		t.Errorf("blue is %v", c)
	}
	if c := Brown.table()[mid]; !(c[0] > 1.5*c[2]) {
		t.Errorf("brown is %v", c)
	}
}

func TestScanSameOnAnyNumberOfProcessorsAndBands(t *testing.T) {
	s := NewSetup(13, SoftCorners, Kinked)
	p := contact(t, s, columns(203, 151, 1, ramp16(203)), TypicalFrame(8, 100))
	o := TypicalScan(4)
	o.Flare, o.NearFlare = 0.01, 0.01
	one := scanAll(t, Scan(p, o))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(3))
	again := Scan(p, o)
	for range 2 {
		for y := 0; y < len(one); {
			band := make([][]uint16, 37)
			for i := range band {
				band[i] = make([]uint16, again.Header().RowSamples())
			}
			n, err := again.ReadRows(context.Background(), band)
			if err != nil {
				t.Fatal(err)
			}
			for i := range n {
				if !slices.Equal(band[i], one[y+i]) {
					t.Fatalf("row %d differs", y+i)
				}
			}
			y += n
		}
		if err := again.Restart(); err != nil {
			t.Fatal(err)
		}
	}
}

// An A4 print scanned at 300 ppi in 16-bit colour.
func BenchmarkScanA4(b *testing.B) {
	p := contact(b, NewSetup(1, Photochemical, Kinked), columns(2976, 4209, 1, ramp16(2976)), TypicalFrame(1, 360))
	b.ResetTimer()
	for range b.N {
		s := Scan(p, TypicalScan(1))
		band := make([][]uint16, 64)
		for i := range band {
			band[i] = make([]uint16, s.Header().RowSamples())
		}
		for {
			if _, err := s.ReadRows(context.Background(), band); err != nil {
				break
			}
		}
	}
}
