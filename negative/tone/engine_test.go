package tone

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"actinic/negative/raster"
	"actinic/process/density"
)

func sameRows(t *testing.T, what string, got, want [][]uint16) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d rows, want %d", what, len(got), len(want))
	}
	for y := range want {
		if !slices.Equal(got[y], want[y]) {
			t.Fatalf("%s: row %d differs", what, y)
		}
	}
}

// However a file keeps its rows, however many work on it, however little may be
// held, and however the sink takes the rows: the film is the same.
func TestFilmSameFromAnySource(t *testing.T) {
	tables := []*InkTable{film(t, greyCurve), film(t, olive)}
	inBandsOf(t, mostRows)
	rapid.Check(t, func(r *rapid.T) {
		draw := func(name string, from, to int) int { return rapid.IntRange(from, to).Draw(r, name) }
		h := raster.Header{Width: draw("width", 1, 70), Height: draw("height", 1, 150), Bits: 16,
			Channels: 1 + 2*draw("colour", 0, 1), Orientation: draw("orientation", 1, 8)}
		o := Options{Depth: 8 * draw("depth", 1, 2), Rotate: 90 * draw("rotate", 0, 3), NoMirror: draw("mirror", 0, 1) == 0,
			PPI: 25.4, InputNegative: draw("invert", 0, 3) == 0, Positive: draw("positive", 0, 3) == 0}
		if draw("size", 0, 2) > 0 {
			o.WidthMM, o.HeightMM = float64(draw("wide", 3, 120)), float64(draw("high", 3, 120))
			o.Fit, o.RotateToFit = Fit(draw("fit", 0, 2)), draw("turn", 0, 1) == 1
		}
		if draw("edge", 0, 2) == 0 {
			o.Edge, o.EdgeMM, o.Label, o.Marks = EdgeKeyline, 5, "Az", true
		}
		table := tables[draw("ink", 0, 1)]
		make := func(access raster.Access, band int) *Film {
			f, err := Negative(lying(newPicture(h, noise), access, band), srgbLight{h.Channels}, table, o, draw("jobs", 1, 4))
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		var want rowsKept
		mostRows = 1000 // all in one
		if err := make(raster.Sequential, 1).Run(t.Context(), &want); err != nil {
			t.Fatal(err)
		}
		o.HeldBytes = int64(draw("held", 1, 20000))
		mostRows = int64(draw("bands", 1, 50))
		for i, access := range []raster.Access{raster.Sequential, raster.AnyRow, raster.Whole} {
			f := make(access, draw("band", 1, 40))
			var plain rowsKept
			strips := stripsKept{unit: draw("unit", 1, 30)}
			if err := errors.Join(f.Run(t.Context(), &strips), f.Run(t.Context(), &plain)); err != nil {
				t.Fatal(err)
			}
			sameRows(t, fmt.Sprint("strips, source ", i), strips.rows, want.rows)
			sameRows(t, fmt.Sprint("rows, source ", i), plain.rows, want.rows)
			sameRows(t, fmt.Sprint("read, source ", i), readAll(t, f, draw("step", 1, 9)), want.rows)
		}
	})
}

// The whole way, from a picture's light to a film's codes, is within 1 of 65535
// of the formulas in double precision, Lanczos resampling straight from its
// definition included: smaller and larger, cropped, padded, in parts, and turned
// in all ways.
func TestWholeWayAgainstDirectEvaluation(t *testing.T) {
	inBandsOf(t, 7)
	sizes := map[string]Options{
		"inverted": {WidthMM: 40, PPI: 25.4, InputNegative: true}, "inverted grid": {PPI: 25.4, InputNegative: true},
		"smaller": {WidthMM: 30, PPI: 25.4}, "much smaller": {WidthMM: 7, PPI: 25.4}, "larger": {WidthMM: 110, PPI: 25.4},
		"cropped": {WidthMM: 37, HeightMM: 60, PPI: 25.4, Fit: FitCrop}, "padded": {WidthMM: 40, HeightMM: 60, PPI: 25.4, Fit: FitPad},
		"part": {WidthMM: 90, PPI: 25.4, Part: &Part{11, 7, 30, 21}}, "grid": {PPI: 25.4},
		"fitted": {WidthMM: 44, HeightMM: 31, PPI: 25.4, RotateToFit: true, Fit: FitCrop},
	}
	grey, colour := film(t, greyCurve), film(t, olive)
	for name, o := range sizes {
		table := grey
		if strings.HasPrefix(name, "inverted") {
			table = colour
		}
		for orientation := 1; orientation <= 8; orientation++ {
			for _, rotate := range []int{0, 90, 180, 270} {
				if orientation%3 > 0 && rotate > 0 { // all turns, not all ways to each
					continue
				}
				p := noisy(47, 33)
				p.header.Orientation, o.Rotate = orientation, rotate
				checkDirect(t, fmt.Sprintf("%s, orientation %d, %d degrees", name, orientation, rotate), p, table, o)
			}
		}
	}
}

// checkDirect holds some of a film's pixels against direct evaluation. How the
// picture is turned is worked out by steps here, pixel by pixel.
func checkDirect(t *testing.T, what string, p *fakePicture, table *InkTable, o Options) {
	t.Helper()
	f, err := Negative(lying(p, raster.AnyRow, 4), linear{}, table, o, 2)
	if err != nil {
		t.Fatal(err)
	}
	var got rowsKept
	if err := f.Run(t.Context(), &got); err != nil {
		t.Fatal(err)
	}
	seen := turnedByHand(p, &o)
	l, err := newLayout(seen.width, seen.height, 0, &o)
	if err != nil {
		t.Fatal(err)
	}
	shown := l.shown()
	for y, row := range got.rows {
		n := table.Channels()
		for x := y % 3; x < len(row)/n; x += 3 {
			px := len(row)/n - 1 - x      // mirrored
			want := table.Curve.Device(0) // padding is clear film
			if px >= shown.x0 && px < shown.x1 && y >= shown.y0 && y < shown.y1 {
				light := direct(seen.of, seen.width, seen.height, l, px, y)
				ink := table.Curve.Ink(float64(density.Reflectance(light).Lightness()))
				want = table.Curve.Device(ink)
			}
			for ch, got := range row[x*n : (x+1)*n] {
				if math.Abs(float64(got)-want[ch]*65535) > 1 {
					t.Fatalf("%s, pixel %d,%d channel %d: %d, want %.2f", what, x, y, ch, got, want[ch]*65535)
				}
			}
		}
	}
}

// byHand is a picture turned in memory, a quarter at a time.
type byHand struct {
	width, height int
	of            func(x, y int) float64
}

func turnedByHand(p *fakePicture, o *Options) byHand {
	up := upright(p.header.Orientation) // held to TIFF 6.0 in its own test
	b := byHand{of: func(x, y int) float64 {
		v := p.of(up.stored(x, y, p.header.Width, p.header.Height))
		if o.InputNegative {
			v = 1 - v
		}
		return v
	}}
	b.width, b.height = up.size(p.header.Width, p.header.Height)
	quarters := o.Rotate / 90
	if wide := (b.width > b.height) != (quarters%2 == 1); o.RotateToFit && wide != (o.WidthMM > o.HeightMM) {
		quarters++
	}
	for range quarters {
		before := b
		b = byHand{before.height, before.width, func(x, y int) float64 { return before.of(y, before.height-1-x) }}
	}
	return b
}

func TestFilmTurnedToFit(t *testing.T) {
	tests := []struct {
		width, height, orientation, rotate int
		o                                  Options
		want                               bool
	}{
		{40, 30, 1, 0, Options{WidthMM: 30, HeightMM: 40}, true}, {40, 30, 1, 0, Options{WidthMM: 40, HeightMM: 30}, false},
		{40, 30, 6, 0, Options{WidthMM: 40, HeightMM: 30}, true}, {40, 30, 1, 90, Options{WidthMM: 40, HeightMM: 30}, true},
		{30, 30, 1, 0, Options{WidthMM: 40, HeightMM: 30}, false}, {40, 30, 1, 0, Options{WidthMM: 30}, false},
		{40, 30, 1, 0, Options{WidthMM: 30, HeightMM: 30}, false},
	}
	for _, test := range tests {
		o := test.o
		o.PPI, o.RotateToFit, o.Rotate = 25.4, true, test.rotate
		h := raster.Header{Width: test.width, Height: test.height, Channels: 1, Bits: 16, Orientation: test.orientation}
		f, err := Negative(newPicture(h, noise), srgbLight{1}, film(t, greyCurve), o, 1)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(f.Notices(), "\n"), "turned clockwise by 90 degrees"); got != test.want {
			t.Errorf("%+v: turned %v, want %v: %q", test, got, test.want, f.Notices())
		}
	}
}

// Several readers decode little more than one does: strips that lie across two
// bands are not decoded for both, whatever is resampled or turned.
func TestFilmReadsStripsOnce(t *testing.T) {
	for name, o := range map[string]Options{"kept": {}, "smaller": {WidthMM: 20}, "larger": {WidthMM: 150}, "edge": {Edge: EdgeClear, EdgeMM: 7},
		"upside down": {Rotate: 180}, "upside down, larger": {Rotate: 180, WidthMM: 150},
		"upside down, edge": {Rotate: 180, Edge: EdgeClear, EdgeMM: 4}} {
		for _, bandRows := range []int{1, 16, 50} {
			o.PPI = 25.4
			h := raster.Header{Width: 60, Height: 4004, Channels: 1, Bits: 16, Orientation: 1}
			src := lying(newPicture(h, noise), raster.AnyRow, bandRows).(*seekable)
			f, err := Negative(src, srgbLight{1}, film(t, greyCurve), o, 3)
			if err != nil {
				t.Fatal(err)
			}
			if err := f.Run(t.Context(), nowhere{}); err != nil {
				t.Fatal(err)
			}
			if n := src.decoded.Load(); n < 3900 || n > 4004 {
				t.Errorf("%s, strips of %d rows: %d rows decoded of 4004", name, bandRows, n)
			}
			if src.open.Load() != 0 {
				t.Errorf("%d readers left open", src.open.Load())
			}
		}
	}
}

// The first error in the order of rows is the one returned, and what comes before
// it is written; no goroutine stays behind.
func TestFilmFirstError(t *testing.T) {
	before := runtime.NumGoroutine()
	for _, o := range []Options{{}, {WidthMM: 100, PPI: 25.4}, {Rotate: 90}, {Rotate: 180}} {
		for _, jobs := range []int{1, 2, 5} {
			h := raster.Header{Width: 200, Height: 3000, Channels: 1, Bits: 16, Orientation: 1}
			src := lying(newPicture(h, func(x, y, _ int) uint16 { return uint16(x * y) }), raster.AnyRow, 1).(*seekable)
			src.failAt = 1234
			f, err := Negative(src, srgbLight{1}, film(t, greyCurve), o, jobs)
			if err != nil {
				t.Fatal(err)
			}
			err = f.Run(t.Context(), nowhere{})
			first := o.Rotate == 0 && err != nil && err.Error() == "row 1234 is broken"
			if !first && (o.Rotate == 0 || err == nil || !strings.HasSuffix(err.Error(), "is broken")) {
				t.Errorf("%+v, jobs %d: %v", o, jobs, err)
			}
		}
	}
	noneLeft(t, before)
}

// noneLeft fails if goroutines beyond those before stay. Ending takes them a
// moment.
func noneLeft(t *testing.T, before int) {
	t.Helper()
	for range 200 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Errorf("%d goroutines, %d before", runtime.NumGoroutine(), before)
}

// stopping cancels when it has so many rows.
type stopping struct {
	rowsKept
	cancel func()
	err    error
}

func (s *stopping) WriteRows(ctx context.Context, rows [][]uint16) error {
	s.rowsKept.WriteRows(ctx, rows)
	if len(s.rows) > 100 {
		s.cancel()
		return s.err
	}
	return nil
}

// Interrupted, or with a sink that fails, a run ends soon and leaves nothing at
// work.
func TestFilmStopsAtOnce(t *testing.T) {
	before := runtime.NumGoroutine()
	full := errors.New("the disk is full")
	for _, access := range []raster.Access{raster.Sequential, raster.AnyRow} {
		for _, o := range []Options{{}, {WidthMM: 130, PPI: 25.4, Depth: 8}, {Rotate: 90, HeldBytes: 1 << 16}} {
			for _, fails := range []error{nil, full} {
				h := raster.Header{Width: 300, Height: 4000, Channels: 1, Bits: 16, Orientation: 1}
				src := lying(newPicture(h, func(x, y, _ int) uint16 { return uint16(x * y) }), access, 1)
				f, err := Negative(src, srgbLight{1}, film(t, greyCurve), o, 3)
				if err != nil {
					t.Fatal(err)
				}
				ctx, cancel := context.WithCancel(t.Context())
				want := context.Canceled
				sink := &stopping{cancel: cancel, err: fails}
				if fails != nil {
					sink.cancel, want = func() {}, fails
				}
				if err := f.Run(ctx, sink); !errors.Is(err, want) {
					t.Errorf("%+v: %v, want %v", o, err, want)
				}
				cancel()
				if got, all := len(sink.rows), f.Header().Height; got > 100+int(mostRows) {
					t.Errorf("%+v: %d rows of %d written", o, got, all)
				}
			}
		}
	}
	noneLeft(t, before)
}

// telling is a source that learns something while it is read.
type telling struct{ *fakePicture }

func (s telling) Seen() []string {
	if s.row == 0 {
		return nil
	}
	return []string{"3 samples lay beyond white"}
}

func TestFilmTellsWhatTheSourceSaw(t *testing.T) {
	p := telling{newPicture(raster.Header{Width: 9, Height: 9, Channels: 1, Bits: 16, Orientation: 1}, noise)}
	f, err := Negative(p, srgbLight{1}, film(t, greyCurve), Options{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Notices()) != 0 {
		t.Errorf("before the run: %q", f.Notices())
	}
	if err := f.Run(t.Context(), nowhere{}); err != nil {
		t.Fatal(err)
	}
	if got := f.Notices(); len(got) != 1 || got[0] != "3 samples lay beyond white" {
		t.Errorf("after the run: %q", got)
	}
}

// A film read half way is made whole by Run, and can be read again after it.
func TestFilmRunsAfterReading(t *testing.T) {
	inBandsOf(t, 7)
	for _, o := range []Options{{}, {Rotate: 90, HeldBytes: 1}} {
		p := newPicture(raster.Header{Width: 40, Height: 50, Channels: 1, Bits: 16, Orientation: 1}, noise)
		f, err := Negative(p, srgbLight{1}, film(t, greyCurve), o, 2)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.ReadRows(t.Context(), raster.NewBand(f.Header(), 11)); err != nil {
			t.Fatal(err)
		}
		var whole rowsKept
		if err := f.Run(t.Context(), &whole); err != nil {
			t.Fatal(err)
		}
		sameRows(t, "read after the run", readAll(t, f, 9), whole.rows)
	}
}

var errNo = errors.New("no")

// A sink whose packer fails, and a source that gives no second reader.
type (
	packsNot struct{ *stripsKept }
	forksNot struct{ *seekable }
)

func (packsNot) Pack([][]uint16) (raster.Strip, error) { return raster.Strip{}, errNo }
func (p packsNot) NewPacker() raster.Packer            { return p }
func (forksNot) Fork() (raster.Forker, error)          { return nil, errNo }

func TestFilmFailsWithItsHelpers(t *testing.T) {
	before := runtime.NumGoroutine()
	inBandsOf(t, 7)
	h := raster.Header{Width: 40, Height: 50, Channels: 1, Bits: 16, Orientation: 1}
	good := lying(newPicture(h, noise), raster.AnyRow, 1).(*seekable)
	for what, try := range map[string]struct {
		src  raster.Source
		sink raster.Sink
	}{"packer": {good, packsNot{&stripsKept{unit: 3}}}, "reader": {forksNot{good}, nowhere{}}} {
		f, err := Negative(try.src, srgbLight{1}, film(t, greyCurve), Options{}, 3)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Run(t.Context(), try.sink); !errors.Is(err, errNo) {
			t.Errorf("%s: %v", what, err)
		}
	}
	noneLeft(t, before)
}
