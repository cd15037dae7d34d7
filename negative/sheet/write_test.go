package sheet

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"actinic/negative/raster"
	"actinic/process/fault"
	"actinic/testdata/outside"
)

// samplePages has all that a page can have, grey and RGB, 16 and 8 bits.
func samplePages(t testing.TB, opts Options) []Page {
	t.Helper()
	var items []Item
	for i, f := range []imageForm{{150, 200, 1, 16}, {200, 150, 3, 16}, {150, 150, 1, 8}, {150, 150, 3, 8}} {
		it := item(float64(f.width)*0.4, float64(f.height)*0.4)
		it.Open, it.Marks, it.Strip = open(f, grain), i%2 == 0, testStrip(21)
		it.Edge = Edge{EdgeKind(i % 3), 4, [3]float64{0.1, 0, 0.2}}
		items = append(items, it)
	}
	pages, err := Layout(items, opts)
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

func write(t testing.TB, pages []Page, opts Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(background, &b, pages, opts); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSameBytes(t *testing.T) {
	opts := testOptions(t, "A4")
	opts.Date = time.Date(2026, 3, 4, 5, 6, 7, 0, time.FixedZone("", 3600))
	opts.Title = "früh"
	first := write(t, samplePages(t, opts), opts)
	if !bytes.Equal(first, write(t, samplePages(t, opts), opts)) {
		t.Error("the same sheet gives other bytes")
	}
	opts.Date = opts.Date.UTC()
	if !bytes.Equal(first, write(t, samplePages(t, opts), opts)) {
		t.Error("the same instant in another zone gives other bytes")
	}
	if !bytes.Contains(first, []byte("D:20260304040607")) {
		t.Error("the date is not the one given")
	}
	opts.Date = time.Time{}
	if b := write(t, samplePages(t, opts), opts); !bytes.Contains(b, []byte("D:19700101000000")) {
		t.Error("no date gives another date than 1970-01-01")
	}
}

// onePage lays out a picture of 60 x 60 mm.
func onePage(t *testing.T, opts Options, open func() (raster.Source, error)) []Page {
	t.Helper()
	it := item(60, 60)
	it.Open = open
	pages, err := Layout([]Item{it}, opts)
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

func TestErrorsOfPictures(t *testing.T) {
	opts := testOptions(t, "A4")
	closed := 0
	good := formula{f: imageForm{600, 600, 1, 16}, at: grain, closed: &closed}
	failing, turned, wide := good, good, good
	failing.stop, turned.turned, wide.f.height = 300, 5, 500
	var f *fault.Error
	for what, c := range map[string]struct {
		src    raster.Source
		wanted func(error) bool
	}{
		"fails half way": {&failing, func(err error) bool { return errors.Is(err, errTest) }},
		"too few rows":   {&short{good}, func(err error) bool { return errors.Is(err, io.ErrUnexpectedEOF) }},
		"turned":         {&turned, func(err error) bool { return errors.As(err, &f) && strings.Contains(f.What, "orientation 6") }},
		"stretched":      {&wide, func(err error) bool { return errors.As(err, &f) && strings.Contains(f.What, "600 x 500") }},
	} {
		closed = 0
		pages := onePage(t, opts, func() (raster.Source, error) { return c.src, nil })
		if err := Write(background, io.Discard, pages, opts); !c.wanted(err) || closed != 1 {
			t.Errorf("%s: %v, closed %d times", what, err, closed)
		}
	}
	pages := onePage(t, opts, func() (raster.Source, error) { return nil, errTest })
	if err := Write(background, io.Discard, pages, opts); !errors.Is(err, errTest) {
		t.Errorf("does not open: %v", err)
	}
}

func TestErrorsOfWriters(t *testing.T) {
	opts := testOptions(t, "A4")
	pages := onePage(t, opts, open(imageForm{600, 600, 1, 16}, grain))
	total := len(write(t, pages, opts))
	for _, n := range []int{0, 100, total / 2, total - 1} {
		if err := Write(background, &failing{n}, pages, opts); !errors.Is(err, errTest) {
			t.Errorf("a writer that fails after %d bytes: %v", n, err)
		}
	}
	ctx, cancel := context.WithCancel(background)
	cancel()
	if err := Write(ctx, io.Discard, pages, opts); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// Pictures pass in rows: one of 16 MB needs no more memory than one of 3 MB.
func TestPicturesAreNotHeld(t *testing.T) {
	low, high := memoryFor(t, 400), memoryFor(t, 2000)
	if low == 0 || high > low+2<<20 {
		t.Errorf("%d bytes asked for with 400 rows, %d with 2000", low, high)
	}
}

// memoryFor returns the bytes asked for, freed or not, while a picture of 4000
// pixels by rows is written.
func memoryFor(t *testing.T, rows int) uint64 {
	t.Helper()
	opts := testOptions(t, "A4")
	it := item(200, float64(rows)/20)
	it.Open = open(imageForm{4000, rows, 1, 16}, func(x, y, c int) uint16 { return uint16(x * y) })
	pages, err := Layout([]Item{it}, opts)
	if err != nil {
		t.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if err := Write(background, io.Discard, pages, opts); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// saved writes a sheet to a file.
func saved(t *testing.T, pages []Page, opts Options) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(name, write(t, pages, opts), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// qpdf and poppler read the file: structure, page size, preference, text.
func TestStructure(t *testing.T) {
	opts := testOptions(t, "A4")
	opts.InkUp = true // text reads right on the page itself, for pdftotext
	name := saved(t, samplePages(t, opts), opts)
	if out := string(outside.Run(t, "qpdf", "qpdf", "--check", name)); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Errorf("qpdf --check: %s", out)
	}
	out := string(outside.Run(t, "qpdf", "qpdf", "--json", "--json-key=qpdf", name))
	if !regexp.MustCompile(`"/PrintScaling":\s*"/None"`).MatchString(out) {
		t.Error("no print scaling preference in the catalog")
	}
	info := string(outside.Run(t, "pdfinfo", "poppler-utils", name))
	for _, want := range []string{`Page size:\s+595\.28 x 841\.89 pts`, `PDF version:\s+1\.6`} { // 210 x 297 mm x 72 / 25.4
		if !regexp.MustCompile(want).MatchString(info) {
			t.Errorf("pdfinfo does not say %s:\n%s", want, info)
		}
	}
	text := string(outside.Run(t, "pdftotext", "poppler-utils", "-layout", name, "-"))
	for _, want := range []string{"reads right from the ink side", noteScaling, "sheet 1 of ", "take precedence.", "Quay", "60 x 80 mm", "cyanotype", "2026-03-04",
		"attic.calibration.json", "stop when 3 and 4 merge", "10 cm", "A4, 210 x 297 mm"} {
		if !strings.Contains(text, want) {
			t.Errorf("the pages do not say %q", want)
		}
	}
}

// The letters of any page, drawn mirrored or not, are the note's.
func TestInkDownNote(t *testing.T) {
	opts := testOptions(t, "A4")
	pages := samplePages(t, opts)
	for _, p := range pages {
		all := ""
		for _, l := range p.footer.lines {
			all += l.text + "\n"
		}
		if !strings.Contains(all, "reads right from above: ink side down") {
			t.Errorf("page %d says %q", p.Number, all)
		}
	}
}

var imageRow = regexp.MustCompile(`(?m)^\s*(\d+)\s+\d+\s+image\s+(\d+)\s+(\d+)\s+(gray|rgb)\s+([13])\s+(8|16)\s+image\s+no\s+(\d+)\s+0\s+`)

// Each image, read back by qpdf, has the very samples of its picture or strip.
func TestImagesReadBack(t *testing.T) {
	opts := testOptions(t, "A4")
	name := saved(t, samplePages(t, opts), opts)
	images := imageRow.FindAllSubmatch(outside.Run(t, "pdfimages", "poppler-utils", "-list", name), -1)
	pictures, strips := 0, 0
	for _, m := range images {
		f := imageForm{number(m[2]), number(m[3]), number(m[5]), number(m[6])}
		got := outside.Run(t, "qpdf", "qpdf", "--show-object="+string(m[7]), "--filtered-stream-data", name)
		if f.width > 200 || f.height < 100 { // a row of patches
			strips++
			checkStripImage(t, f, got)
			continue
		}
		pictures++
		if !bytes.Equal(got, packed(f, grain)) {
			t.Errorf("the %v picture has other samples", f)
		}
	}
	if pictures != 4 || strips < 4 {
		t.Errorf("%d pictures and %d strips in the file", pictures, strips)
	}
}

// checkStripImage takes each patch of a 16-bit row for one of 21 even steps.
func checkStripImage(t *testing.T, f imageForm, data []byte) {
	t.Helper()
	if f.bits == 8 {
		return // dithered: TestStripKeepsMeans
	}
	for i := 0; i < len(data); i += 2 {
		v := float64(int(data[i])<<8|int(data[i+1])) / 65535 * 20
		if math.Abs(v-math.Round(v)) > 20*0.5/65535+1e-9 {
			t.Fatalf("sample %d of a strip is %.6f of 20 steps", i/2, v)
		}
	}
}

func TestSizeMM(t *testing.T) {
	w, h, err := SizeMM("a.tif", raster.Header{Width: 2880, Height: 3600, PPIX: 360, PPIY: 360})
	if err != nil || math.Abs(w-203.2) > 1e-9 || math.Abs(h-254) > 1e-9 { // 8 x 10 in
		t.Errorf("%g x %g mm, %v", w, h, err)
	}
	for _, bad := range []raster.Header{{Width: 100, Height: 100}, {Width: 100, Height: 100, PPIX: 360, PPIY: math.NaN()}, {Width: 10, Height: 10, PPIX: 360, PPIY: 360}} {
		var f *fault.Error
		if _, _, err := SizeMM("a.tif", bad); !errors.As(err, &f) || f.File != "a.tif" {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}
