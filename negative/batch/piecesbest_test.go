package batch

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"

	"pgregory.net/rapid"
)

// memory is a picture in memory that can be read in any order.
type memory struct {
	header raster.Header
	rows   [][]uint16
	at     int
}

// newMemory fills a grey picture from value(x, y).
func newMemory(width, height int, value func(x, y int) uint16) *memory {
	m := &memory{header: raster.Header{Width: width, Height: height, Channels: 1, Bits: 16, PPIX: 254, PPIY: 254,
		Orientation: 1, Access: raster.Whole, BandRows: 1}}
	m.rows = raster.NewBand(m.header, height)
	for y, row := range m.rows {
		for x := range row {
			row[x] = value(x, y)
		}
	}
	return m
}

func (m *memory) Header() raster.Header { return m.header }
func (m *memory) Restart() error        { m.at = 0; return nil }
func (m *memory) Close() error          { return nil }
func (m *memory) SeekRow(y int) error   { m.at = y; return nil }

func (m *memory) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := min(len(dst), m.header.Height-m.at)
	for i := range n {
		copy(dst[i], m.rows[m.at+i])
	}
	m.at += n
	if n == 0 && len(dst) > 0 {
		return 0, errors.New("read past the end")
	}
	return n, nil
}

// greys is a picture of 1000 x 600 pixels at 10 a millimetre: flat but for a
// wedge of all greys of 200 x 100 pixels at 520, 260, and a patch of noise in
// few greys at 100, 400.
func greys() *memory {
	random := rand.New(rand.NewPCG(5, 6))
	return newMemory(1000, 600, func(x, y int) uint16 {
		switch {
		case x >= 520 && x < 720 && y >= 260 && y < 360:
			return uint16((x - 520) * 329)
		case x >= 100 && x < 300 && y >= 400 && y < 500:
			return uint16(20000 + random.IntN(12000))
		}
		return 30000
	})
}

// The part that shows most tones is found, within a pixel of the small print
// (0.25 mm here) and the rounding to whole millimetres; turned with the picture.
func TestBestPartIsFound(t *testing.T) {
	for _, c := range []struct {
		name string
		o    tone.Options
		want tone.Part
	}{
		{"as it is", tone.Options{}, tone.Part{XMM: 52, YMM: 26, WidthMM: 20, HeightMM: 10}},
		{"at half the size", tone.Options{WidthMM: 50, PPI: 300}, tone.Part{XMM: 26, YMM: 13, WidthMM: 10, HeightMM: 5}},
		{"a positive", tone.Options{Positive: true}, tone.Part{XMM: 52, YMM: 26, WidthMM: 20, HeightMM: 10}},
		{"upside down", tone.Options{Rotate: 180}, tone.Part{XMM: 28, YMM: 24, WidthMM: 20, HeightMM: 10}},
		{"on its side", tone.Options{Rotate: 90}, tone.Part{XMM: 24, YMM: 52, WidthMM: 10, HeightMM: 20}},
	} {
		for _, cores := range []int{1, 3} {
			got, err := BestPart(t.Context(), greys(), "greys.tif", c.o, c.want.WidthMM, c.want.HeightMM, cores)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got.XMM-c.want.XMM) > 1 || math.Abs(got.YMM-c.want.YMM) > 1 || got.WidthMM != c.want.WidthMM || got.HeightMM != c.want.HeightMM {
				t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
			}
		}
	}
}

// A part as large as the print is the print; a larger one is refused.
func TestBestPartFits(t *testing.T) {
	got, err := BestPart(t.Context(), greys(), "greys.tif", tone.Options{}, 100, 60, 1)
	if want := (tone.Part{WidthMM: 100, HeightMM: 60}); err != nil || got != want {
		t.Errorf("%+v, %v, want %+v", got, err, want)
	}
	_, err = BestPart(t.Context(), greys(), "greys.tif", tone.Options{}, 101, 10, 1)
	var user *fault.Error
	if !errors.As(err, &user) || user.File != "greys.tif" || !strings.Contains(user.What, "larger than the print, which is 100.0 x 60.0 mm") {
		t.Errorf("a part that is too large gave %v", err)
	}
}

// The summed tables find what counting finds.
func TestBestPartIsCounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width, height := rapid.IntRange(1, 14).Draw(t, "width"), rapid.IntRange(1, 14).Draw(t, "height")
		m := newMemory(width, height, func(x, y int) uint16 { return rapid.Uint16().Draw(t, "value") })
		w, h := rapid.IntRange(1, width).Draw(t, "w"), rapid.IntRange(1, height).Draw(t, "h")
		x, y := newToneCounts(m.rows, width).best(w, h)
		most := counted(m.rows, x, y, w, h)
		for top := range height - h + 1 {
			for left := range width - w + 1 {
				if v := counted(m.rows, left, top, w, h); v > most+1e-9 {
					t.Fatalf("%d x %d at %d, %d is worth %g, at %d, %d %g", w, h, x, y, most, left, top, v)
				}
			}
		}
	})
}

func counted(rows [][]uint16, x, y, w, h int) float64 {
	var bands [20]int
	for _, row := range rows[y : y+h] {
		for _, v := range row[x : x+w] {
			bands[int(v)*20/65536]++
		}
	}
	sum := 0.0
	for _, n := range bands {
		sum += math.Sqrt(float64(n))
	}
	return sum
}
