package chart

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/process/fault"

	"github.com/google/go-cmp/cmp"
)

func encoded(t testing.TB, c *Chart) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := c.Encode(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestFileHoldsTheWholeChart: a chart read back is the chart, and is drawn the
// same, with all that its file does not name.
func TestFileHoldsTheWholeChart(t *testing.T) {
	for kind, newChart := range makers {
		for _, f := range films[:2] {
			s := sheetOf(f.w, f.h)
			s.PPI, s.Inputs = 120, []Input{{"blue.calibration.json", strings.Repeat("0", 64)}}
			s.InkColour = [3]float64{10, 0, 77.5}
			c := must2(t, newChart, s)
			back, err := Decode(bytes.NewReader(encoded(t, c)), "x.chart.json")
			if err != nil {
				t.Fatalf("%s on %s: %v", kind, f.name, err)
			}
			c.Notices = nil
			if d := cmp.Diff(c, back); d != "" {
				t.Errorf("%s on %s: %s", kind, f.name, d)
			}
			for i := range c.Pages {
				if !slices.EqualFunc(drawn(t, c, i), drawn(t, back, i), slices.Equal) {
					t.Errorf("%s on %s: page %d is drawn another way after reading", kind, f.name, i+1)
				}
			}
		}
	}
}

// TestSameChartSameBytes holds file and pixels of each kind to what they were:
// the same on each processor, until a change is meant.
func TestSameChartSameBytes(t *testing.T) {
	want := map[string]string{
		"ramp": "d9658cc29a0053e1", "colours": "d18930d4f3a66498", "tablet": "c41dc1ef4831f6b7",
		"check": "69a8deb38a5f3769", "exposure": "2c4114a1ffd2b2eb",
	}
	for kind, newChart := range makers {
		s := sheetOf(210, 297)
		s.PPI = 181.3
		c := must2(t, newChart, s)
		if got := fingerprint(t, c); got != want[kind] {
			t.Errorf("%q: %q,", kind, got)
		}
	}
}

func fingerprint(t testing.TB, c *Chart) string {
	sum := sha256.New()
	sum.Write(encoded(t, c))
	for i := range c.Pages {
		for _, row := range drawn(t, c, i) {
			for _, v := range row {
				sum.Write([]byte{byte(v >> 8), byte(v)})
			}
		}
	}
	return fmt.Sprintf("%x", sum.Sum(nil)[:8])
}

// TestCodeNamesTheChart: what changes the print changes the code, and what does
// not, does not.
func TestCodeNamesTheChart(t *testing.T) {
	plain := must2(t, makers["ramp"], sheetOf(210, 297))
	same := sheetOf(210, 297)
	same.Made, same.Inputs = same.Made.AddDate(1, 0, 0), []Input{{"a", "b"}}
	if c := must2(t, makers["ramp"], same); c.Pages[0].Code != plain.Pages[0].Code {
		t.Error("another date makes another code")
	}
	for name, change := range map[string]func(*Sheet){
		"seed": func(s *Sheet) { s.Seed++ }, "ppi": func(s *Sheet) { s.PPI = 300 }, "mirror": func(s *Sheet) { s.Mirrored = false },
		"ink": func(s *Sheet) { s.InkColour[2] = 9 }, "margin": func(s *Sheet) { s.MarginMM = 7 }, "window": func(s *Sheet) { s.Window.None = true },
	} {
		s := sheetOf(210, 297)
		change(&s)
		if c := must2(t, makers["ramp"], s); c.Pages[0].Code == plain.Pages[0].Code {
			t.Errorf("another %s leaves the code", name)
		}
	}
}

// TestDecodeRefuses: each fault with the place.
func TestDecodeRefuses(t *testing.T) {
	good := string(encoded(t, must2(t, makers["exposure"], sheetOf(148, 210))))
	for _, c := range []struct{ from, to, where string }{
		{`"actinic chart"`, `"actinic calibration"`, "field format"},
		{`"version":1`, `"version":2`, "field version"},
		{`"version":1`, `"version":0`, "field version"},
		{`"seed":7`, `"seed":7,"sead":8`, "line 1"},
		{`"made":"2026-01-01T00:00:00Z"`, `"made":"yesterday"`, "field made"},
		{`"kind":"exposure"`, `"kind":"poster"`, "field kind"},
		{`"kind":"exposure"`, `"kind":"ramp"`, "field exposure_unit"},
		{`"width_mm":148`, `"width_mm":1e300`, "pages[0].width_mm"},
		{`"width_mm":148`, `"width_mm":-5`, "pages[0].width_mm"},
		{`"ppi":360`, `"ppi":1e9`, "pages[0].ppi"},
		{`"code":"`, `"code":"i`, "pages[0].code"},
		{`{"id":"tl"`, `{"id":"tr"`, "pages[0].marks[1].id"},
		{`{"id":"tl"`, `{"id":""`, "pages[0].marks[0].id"},
		{`"diameter_mm":7`, `"diameter_mm":700`, "pages[0].marks[0]"},
		{`{"id":"full-tl"`, `{"id":"clear-tl"`, "pages[0].patches[1].id"},
		{`"ink":100`, `"ink":101`, "pages[0].patches[0].ink"},
		{`"device":[0,0,0]`, `"device":[0,0]`, "pages[0].patches[0].device"},
		{`"device":[0,0,0]`, `"device":[0,0,null]`, "pages[0].patches[0].device"},
		{`"device":[0,0,0]`, `"device":[0,0,256]`, "pages[0].patches[0].device"},
		{`,"ink":100,"device":[0,0,0]`, ``, "pages[0].patches[0]"},
		{`"exposure":120`, `"exposure":0`, "exposure"},
		{`"opaque_box":{"x_mm":`, `"opaque_box":{"x_mm":9`, "pages[0].opaque_box"},
		{`"height_mm":7,`, `"height_mm":0,`, "pages[0].patches[0]"},
	} {
		text := strings.Replace(good, c.from, c.to, 1)
		if text == good {
			t.Errorf("%s is not in the file", c.from)
			continue
		}
		chart, err := Decode(strings.NewReader(text), "x.chart.json")
		var f *fault.Error
		if chart != nil || !errors.As(err, &f) || f.File != "x.chart.json" || !strings.Contains(f.Where, c.where) || f.Hint == "" {
			t.Errorf("%s: %v, want a fault at %s", c.to, err, c.where)
		}
	}
	for _, text := range []string{"", "{}", "[]", "null", `{"format":"actinic chart","version":1,"made":"2026-01-01T00:00:00Z","kind":"ramp","pages":[null]}`, good + "x", good[:len(good)/2]} {
		if _, err := Decode(strings.NewReader(text), "x"); err == nil {
			t.Errorf("%.60q is taken", text)
		}
	}
	if _, err := Decode(io.LimitReader(endless{}, 17<<20), "x"); err == nil || !strings.Contains(err.Error(), "16 MiB") {
		t.Errorf("an endless file: %v", err)
	}
}

// endless is blanks without end.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

// FuzzDecode: any file gives a chart that can be written, read again and drawn,
// or an error.
func FuzzDecode(f *testing.F) {
	for _, newChart := range makers {
		c, err := newChart(sheetOf(101.6, 127))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(encoded(f, c))
	}
	f.Add([]byte(`{"format":"actinic chart","version":1}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := Decode(bytes.NewReader(text), "fuzz")
		var e *fault.Error
		if err != nil {
			if !errors.As(err, &e) {
				t.Errorf("%v is not a fault", err)
			}
			return
		}
		if _, err := Decode(bytes.NewReader(encoded(t, c)), "again"); err != nil {
			t.Errorf("what was written is refused: %v", err)
		}
		src := Draw(c, 0)
		if _, err := src.ReadRows(context.Background(), raster.NewBand(src.Header(), 2)); err != nil && err != io.EOF {
			t.Error(err)
		}
	})
}
