package sheet

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/process/fault"
	"actinic/testdata/outside"
)

// imageOfPage writes a sheet of one picture and returns what qpdf finds stored
// for it, and its form as pdfimages tells it.
func imageOfPage(t *testing.T, opts Options, src func() (raster.Source, error)) (imageForm, []byte) {
	t.Helper()
	name := saved(t, onePage(t, opts, src), opts)
	m := imageRow.FindSubmatch(outside.Run(t, "pdfimages", "poppler-utils", "-list", name))
	if m == nil {
		t.Fatal("pdfimages finds no image")
	}
	f := imageForm{number(m[2]), number(m[3]), number(m[5]), number(m[6])}
	return f, outside.Run(t, "qpdf", "qpdf", "--show-object="+string(m[7]), "--filtered-stream-data", name)
}

// slope rises by a third of a 16-bit code a pixel: 8 bits alone would show steps.
func slope(x, y, c int) uint16 { return uint16(20000 + x/3 + y/3 + 9000*c) }

// A film of 16 bits on a page of 8 keeps its tones: the mean over 60 x 60 pixels
// is that of the film to a tenth of an 8-bit code, which rounding misses by
// up to a half.
func TestDepthEightIsDithered(t *testing.T) {
	opts := testOptions(t, "A4")
	opts.Depth = 8
	for _, channels := range []int{1, 3} {
		film := imageForm{600, 600, channels, 16}
		f, got := imageOfPage(t, opts, open(film, slope))
		if want := (imageForm{600, 600, channels, 8}); f != want || len(got) != 600*600*channels {
			t.Fatalf("the page has %+v and %d bytes, want %+v", f, len(got), want)
		}
		for y := 0; y < 600; y += 60 {
			for x := 0; x < 600; x += 60 {
				if d := meanError(film, got, x, y); math.Abs(d) > 0.1 {
					t.Errorf("the mean at %d, %d is off by %.3f codes of 255", x, y, d)
				}
			}
		}
	}
}

// meanError is the mean of 60 x 60 pixels of 8 bits less that of slope, in codes
// of 255.
func meanError(f imageForm, data []byte, x0, y0 int) float64 {
	sum := 0.0
	for y := y0; y < y0+60; y++ {
		for x := x0; x < x0+60; x++ {
			for c := range f.channels {
				sum += float64(data[(y*f.width+x)*f.channels+c]) - float64(slope(x, y, c))/257
			}
		}
	}
	return sum / float64(60*60*f.channels)
}

// More bits than the film has hold the same values.
func TestDepthSixteenOfEight(t *testing.T) {
	opts := testOptions(t, "A4")
	opts.Depth = 16
	eight := func(x, y, c int) uint16 { return grain(x, y, c) >> 8 * 257 }
	f, got := imageOfPage(t, opts, open(imageForm{200, 200, 3, 8}, eight))
	if want := (imageForm{200, 200, 3, 16}); f != want || string(got) != string(packed(want, eight)) {
		t.Errorf("the page has %+v, or other values than the film", f)
	}
}

func TestDepthIsEightOrSixteen(t *testing.T) {
	opts := testOptions(t, "A4")
	pages := onePage(t, opts, open(imageForm{60, 60, 1, 16}, grain))
	opts.Depth = 12
	var f *fault.Error
	if err := Write(background, io.Discard, pages, opts); !errors.As(err, &f) || !strings.Contains(f.What, "12 bits") {
		t.Errorf("12 bits: %v", err)
	}
}

// notRGB is a picture whose samples are no printer values.
type notRGB struct {
	formula
	space raster.Space
}

func (s *notRGB) Header() raster.Header {
	h := s.formula.Header()
	h.Space = s.space
	return h
}

// Inks and L*a*b* can't go to the printer untouched.
func TestRefusesInksAndLightness(t *testing.T) {
	opts := testOptions(t, "A4")
	for channels, space := range map[int]raster.Space{4: raster.Inks, 1: raster.Lightness} {
		closed := 0
		src := &notRGB{formula{f: imageForm{60, 60, channels, 16}, at: grain, closed: &closed}, space}
		pages := onePage(t, opts, func() (raster.Source, error) { return src, nil })
		var f *fault.Error
		if err := Write(context.Background(), io.Discard, pages, opts); !errors.As(err, &f) || !strings.Contains(f.What, "neither grey nor RGB") || closed != 1 {
			t.Errorf("space %d: %v, closed %d times", space, err, closed)
		}
	}
}

// A band of rows of any width is small.
func TestBandsAreBounded(t *testing.T) {
	for _, h := range []raster.Header{{Width: 1, Channels: 1, BandRows: 1 << 20}, {Width: 1 << 20, Channels: 3, BandRows: 500}, {Width: 8000, Channels: 3, BandRows: 20}} {
		rows := bandRows(h)
		if bytes := 2 * rows * h.RowSamples(); rows < 1 || rows > 64 || (rows > 1 && bytes > mostBandBytes) {
			t.Errorf("a band of %d rows, %d bytes, for %+v", rows, bytes, h)
		}
	}
}
