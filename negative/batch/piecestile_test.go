package batch

import (
	"context"
	"slices"
	"sync"
	"testing"

	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/negative/tone"

	"pgregory.net/rapid"
)

// Parts tile exactly: the parts of a print put together are the film without
// --part, pixel by pixel, for any size, turn, orientation and cut.
func TestPartsTile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := newMemory(rapid.IntRange(8, 60).Draw(t, "width"), rapid.IntRange(8, 60).Draw(t, "height"),
			func(x, y int) uint16 { return uint16(x*7919 + y*104729 + x*y*31) })
		m.header.Orientation = rapid.IntRange(1, 8).Draw(t, "orientation")
		o := drawnOptions(t)
		whole, want := filmOf(t, m, o)
		columns := cuts(t, "columns", float64(whole.Width)*25.4/whole.PPIX)
		rows := cuts(t, "rows", float64(whole.Height)*25.4/whole.PPIY)
		got := raster.NewBand(whole, whole.Height)
		bottom := 0
		for j := range len(rows) - 1 {
			bottom = tileRow(t, m, o, columns, rows[j], rows[j+1], got, bottom)
		}
		if bottom != whole.Height || !slices.EqualFunc(got, want, slices.Equal) {
			t.Fatalf("the parts are %d of %d rows high, or differ from the whole, at %v and %v", bottom, whole.Height, columns, rows)
		}
	})
}

// drawnOptions draws a size, a fit and a turn.
func drawnOptions(t *rapid.T) tone.Options {
	o := tone.Options{PPI: rapid.SampledFrom([]float64{72, 90, 100.5}).Draw(t, "ppi"),
		Rotate: rapid.SampledFrom([]int{0, 90, 180, 270}).Draw(t, "rotate"), NoMirror: rapid.Bool().Draw(t, "no mirror")}
	if rapid.Bool().Draw(t, "sized") {
		o.WidthMM, o.HeightMM = rapid.Float64Range(10, 40).Draw(t, "size"), rapid.Float64Range(10, 40).Draw(t, "size")
		o.Fit = rapid.SampledFrom([]tone.Fit{tone.FitInside, tone.FitCrop, tone.FitPad}).Draw(t, "fit")
		o.RotateToFit = rapid.Bool().Draw(t, "auto")
	}
	return o
}

// filmOf makes a film with a straight curve.
func filmOf(t *rapid.T, m *memory, o tone.Options) (raster.Header, [][]uint16) {
	if err := m.Restart(); err != nil {
		t.Fatal(err)
	}
	f, err := tone.Negative(m, profile.SRGB(1), straightTable(t), o, 2)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	band := raster.NewBand(f.Header(), f.Header().Height)
	if err := readAll(context.Background(), f, band); err != nil {
		t.Fatal(err)
	}
	return f.Header(), band
}

// straightTable is the straight curve, baked once.
func straightTable(t *rapid.T) *tone.InkTable {
	table, err := bakedOnce()
	if err != nil {
		t.Fatal(err)
	}
	return table
}

var bakedOnce = sync.OnceValues(func() (*tone.InkTable, error) { return tone.Bake(straight{}) })

// cuts draws where a side of lengthMM is cut, in quarters of a millimetre so
// that left and width add up exactly; the ends are among them.
func cuts(t *rapid.T, name string, lengthMM float64) []float64 {
	at := []float64{0, lengthMM}
	for range rapid.IntRange(0, 3).Draw(t, name) {
		at = append(at, float64(rapid.IntRange(4, max(4, int(lengthMM*4)-4)).Draw(t, name))/4)
	}
	slices.Sort(at)
	for i := len(at) - 1; i > 0; i-- { // a part is at least a pixel
		if at[i]-at[i-1] < 0.5 {
			at = slices.Delete(at, i, i+1)
		}
	}
	at[len(at)-1] = lengthMM
	return at
}

// tileRow puts the parts of one row of cuts at their places and returns where
// they end.
func tileRow(t *rapid.T, m *memory, o tone.Options, columns []float64, top, bottom float64, got [][]uint16, y int) int {
	x, end := 0, y
	for i := range len(columns) - 1 {
		o.Part = &tone.Part{XMM: columns[i], YMM: top, WidthMM: columns[i+1] - columns[i], HeightMM: bottom - top}
		h, part := filmOf(t, m, o)
		left := x
		if !o.NoMirror {
			left = len(got[0]) - x - h.Width
		}
		if left < 0 || y+h.Height > len(got) {
			t.Fatalf("a part reaches beyond the print: %d + %d columns of %d, %d + %d rows of %d", x, h.Width, len(got[0]), y, h.Height, len(got))
		}
		for dy, row := range part {
			copy(got[y+dy][left:], row)
		}
		x, end = x+h.Width, y+h.Height
	}
	return end
}
