package calibration

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/printer"
)

// inksFiles are encoded inks: of two prints, of a few colours only, and with a
// range that was asked for and an ink colour that was chosen.
var inksFiles = sync.OnceValue(func() [][]byte {
	s, few := newColourScene(7, 90), newColourScene(8, 90)
	few.rgb = []printer.RGB{printer.Clear, {0, 0, 0}, {255, 0, 0}}
	a, b := s.colourPrint(7, 0), s.colourPrint(8, 0.3)
	a.Exposure, b.Exposure = 480, 960
	chosen := printer.RGB{0, 0, 0}
	rq := InksRequest{Made: time.Date(2024, 5, 6, 7, 8, 9, 987, time.FixedZone("", 7200)), Unit: "s", Cautions: []string{"wear gloves <&>"}}
	asked := rq
	asked.NeededRange, asked.InkColour, asked.Straight = 1.2, &chosen, true
	var out [][]byte
	for _, c := range []struct {
		prints []ColourPrint
		rq     InksRequest
	}{{[]ColourPrint{a, b}, rq}, {[]ColourPrint{few.colourPrint(9, 0)}, rq}, {[]ColourPrint{a}, asked}} {
		colours, err := FitColours(c.prints, nil)
		if err != nil {
			panic(err)
		}
		k, err := colours.Inks(c.rq)
		if err != nil {
			panic(err)
		}
		var b bytes.Buffer
		if err := k.Encode(&b); err != nil {
			panic(err)
		}
		out = append(out, b.Bytes())
	}
	return out
})

func decodeInks(t testing.TB, i int) *Inks {
	t.Helper()
	k, err := DecodeInks(bytes.NewReader(inksFiles()[i]), "x.inks.json")
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestInksRoundTrip(t *testing.T) {
	for i, text := range inksFiles() {
		var again bytes.Buffer
		if err := decodeInks(t, i).Encode(&again); err != nil {
			t.Fatal(i, err)
		}
		if !bytes.Equal(again.Bytes(), text) {
			t.Errorf("file %d changes when it is read and written", i)
		}
	}
}

// The file says when it was made and of what, and chooses a colour that reaches the
// range; its model is always the same.
func TestInksChoose(t *testing.T) {
	k := decodeInks(t, 0)
	s := newColourScene(7, 90)
	if got := k.Made.Format(time.RFC3339Nano); got != "2024-05-06T05:08:09Z" {
		t.Errorf("made %s", got)
	}
	if len(k.Inputs) != 4 || k.Inputs[0] != (Input{"colours.csv", "cc7"}) || *k.Exposure.Prints[1].Given != 960 || k.Cautions[0] != "wear gloves <&>" {
		t.Errorf("%+v %+v %q", k.Inputs, k.Exposure, k.Cautions)
	}
	if k.NeededRange == nil || k.NeededRange.From != fromExposure || k.Ranking == nil || k.InkColour == nil {
		t.Fatalf("range %+v, ink colour %v", k.NeededRange, k.InkColour)
	}
	if uv := s.printer.uv(k.InkColour.RGB()); uv < k.NeededRange.Value.Value {
		t.Errorf("the ink colour %v stops %.2f, the range is %.2f", k.InkColour, uv, k.NeededRange.Value.Value)
	}
	first, err := k.Model()
	if err != nil {
		t.Fatal(err)
	}
	again, _ := decodeInks(t, 0).Model()
	for _, c := range []printer.RGB{{0, 0, 0}, {10, 200, 77}, {255, 128, 0}} {
		uv, sd := first.UVDensity(c)
		uv2, sd2 := again.UVDensity(c)
		if uv != uv2 || sd != sd2 {
			t.Errorf("%v: %v +- %v, then %v +- %v", c, uv, sd, uv2, sd2)
		}
		if math.Abs(uv-s.printer.uv(c)) > max(0.15, 3*sd) {
			t.Errorf("%v: model says %.2f, the printer stops %.2f", c, uv, s.printer.uv(c))
		}
	}
	if *k.Printer.HeldOutRMS > 0.06 {
		t.Errorf("held-out colours are off by %.3f", *k.Printer.HeldOutRMS)
	}
}

func TestInksPath(t *testing.T) {
	k := decodeInks(t, 0)
	straight, err := k.Path(true)
	if err != nil || len(straight) != 2 || straight[1].RGB() != k.InkColour.RGB() {
		t.Errorf("straight %v, %v", straight, err)
	}
	if blend, err := k.Path(false); err != nil || len(blend) != len(k.Blend.Nodes) {
		t.Errorf("blend %v, %v", blend, err)
	}
	few := decodeInks(t, 1)
	if _, err := few.Path(false); err == nil || few.Ranking != nil || few.Printer != nil {
		t.Errorf("too few colours for a model: %v %v", err, few.Ranking)
	}
	asked := decodeInks(t, 2)
	if p, _ := asked.Path(false); len(p) != 2 || p[1].RGB() != (printer.RGB{0, 0, 0}) || asked.NeededRange.From != fromAsked {
		t.Errorf("chosen black and straight: %v, %+v", p, asked.NeededRange)
	}
}

// A speck of dust on one patch is named, and its colour does not pass for dense.
func TestInksNameOddColours(t *testing.T) {
	s := newColourScene(17, 150)
	p := s.colourPrint(17, 0)
	const spoiled = 40
	p.Colours = altered(p.Colours, func(r *measure.Reading, i int) {
		if i == spoiled {
			r.Value += 25
		}
	})
	k, err := s.fitColours(t, p).Inks(InksRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if text, id := strings.Join(k.Cautions, "\n"), p.Colours.Readings[spoiled].ID; !strings.Contains(text, id+" (") {
		t.Errorf("patch %s reads 25 L* too light and is not named: %s", id, text)
	}
}

// A patch that is odd in two prints of one film is named once.
func TestInksNameAnOddPatchOnce(t *testing.T) {
	s := newColourScene(17, 150)
	spotted := func(seed uint64) ColourPrint {
		p := s.colourPrint(seed, 0)
		p.Colours = altered(p.Colours, func(r *measure.Reading, i int) {
			if i == 40 {
				r.Value += 25
			}
		})
		return p
	}
	p := spotted(17)
	k, err := s.fitColours(t, p, spotted(18)).Inks(InksRequest{})
	if err != nil {
		t.Fatal(err)
	}
	id := p.Colours.Readings[40].ID
	if text := strings.Join(k.Cautions, "\n"); !strings.Contains(text, id+" (") || strings.Contains(text, id+" and "+id) {
		t.Errorf("patch %s is not named once: %s", id, text)
	}
}

// altered inks, each wrong in one place that the message must name.
func TestInksRefuse(t *testing.T) {
	for where, change := range map[string]func(m map[string]any){
		"field format":             func(m map[string]any) { m["format"] = "actinic calibration" },
		"field version":            func(m map[string]any) { m["version"] = 99 },
		"unknown field":            func(m map[string]any) { m["surprise"] = 1 },
		"field colours":            func(m map[string]any) { m["colours"] = []any{} },
		"colour 3":                 func(m map[string]any) { colourOf(m, 2)["red"] = 256 },
		"sd is -1":                 func(m map[string]any) { colourOf(m, 2)["sd"] = -1 },
		"patch_sd is 0":            func(m map[string]any) { colourOf(m, knownOf(m))["patch_sd"] = 0 },
		"uv_density is 1000":       func(m map[string]any) { colourOf(m, 2)["uv_density"] = 1000 },
		"sd and patch_sd together": func(m map[string]any) { colourOf(m, knownOf(m))["sd"] = nil },
		"the same red":             func(m map[string]any) { m["colours"] = append(m["colours"].([]any), colourOf(m, 1)) },
		"neither uv_density": func(m map[string]any) {
			c := colourOf(m, 2)
			for _, f := range []string{"uv_density", "sd", "patch_sd", "at_least", "at_most"} {
				c[f] = nil
			}
		},
		"field exposure.prints, print 2, noise_lstar: found -1, expected 0 to 100": func(m map[string]any) {
			m["exposure"].(map[string]any)["prints"].([]any)[1].(map[string]any)["noise_lstar"] = -1
		},
		"field exposure.prints, print 1, given: found 0, expected more than 0": func(m map[string]any) {
			m["exposure"].(map[string]any)["prints"].([]any)[0].(map[string]any)["given"] = 0
		},
		"field model.held_out_share_in_band: found 2, expected 0 to 1": func(m map[string]any) { m["model"].(map[string]any)["held_out_share_in_band"] = 2 },
		"field ranking.colours, colour 1, ink_percent: found 300": func(m map[string]any) {
			m["ranking"].(map[string]any)["colours"].([]any)[0].(map[string]any)["ink_percent"] = 300
		},
		"field blend.gradation_after.largest_step_uv_density: found -1": func(m map[string]any) {
			m["blend"].(map[string]any)["gradation_after"].(map[string]any)["largest_step_uv_density"] = -1
		},
		"field characteristic.print_density": func(m map[string]any) { m["characteristic"].(map[string]any)["print_density"].([]any)[0] = 300 },
		"field made":                         func(m map[string]any) { m["made"] = "noon" },
		"field needed_range":                 func(m map[string]any) { m["needed_range"].(map[string]any)["value"] = 0 },
		"field ink_colour":                   func(m map[string]any) { m["ink_colour"].(map[string]any)["blue"] = -3 },
		"field ranking.colours, colour 1": func(m map[string]any) {
			m["ranking"].(map[string]any)["colours"].([]any)[0].(map[string]any)["green"] = 300
		},
		"field blend.nodes": func(m map[string]any) { m["blend"].(map[string]any)["nodes"] = []any{} },
		"percents that rise": func(m map[string]any) {
			nodes := m["blend"].(map[string]any)["nodes"].([]any)
			nodes[len(nodes)-1].(map[string]any)["percent"] = 0
		},
		"field blend": func(m map[string]any) { m["ink_colour"] = nil },
	} {
		var m map[string]any
		if err := json.Unmarshal(inksFiles()[0], &m); err != nil {
			t.Fatal(err)
		}
		change(m)
		text, _ := json.Marshal(m)
		_, err := DecodeInks(bytes.NewReader(text), "x.inks.json")
		var f *fault.Error
		if !errors.As(err, &f) || f.File != "x.inks.json" || !strings.Contains(err.Error(), where) {
			t.Errorf("%s: %v", where, err)
		}
	}
}

func colourOf(m map[string]any, i int) map[string]any {
	return m["colours"].([]any)[i].(map[string]any)
}

// knownOf is the number of some colour with a UV density.
func knownOf(m map[string]any) int {
	for i := range m["colours"].([]any) {
		if colourOf(m, i)["uv_density"] != nil {
			return i
		}
	}
	return -1
}

// thinnedInks is a file with few colours: a fuzzer gets further with a short text.
func thinnedInks(t testing.TB, i int) []byte {
	k := decodeInks(t, i)
	k.Colours = k.Colours[:min(8, len(k.Colours))]
	if k.Ranking != nil {
		k.Ranking.Colours = k.Ranking.Colours[:2]
	}
	k.Characteristic = nil
	text, err := json.Marshal(k)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func FuzzInks(f *testing.F) {
	for i := range inksFiles() {
		f.Add(thinnedInks(f, i))
	}
	f.Add([]byte(`{"format":"actinic inks","version":1,"colours":[{"patches":[],"red":1,"green":2,"blue":3,"at_least":1}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		k, err := DecodeInks(bytes.NewReader(text), "x")
		if err != nil {
			var wrong *fault.Error
			if !errors.As(err, &wrong) {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		if len(k.Colours) > 8 {
			return // a model of many takes long
		}
		if m, err := k.Model(); err == nil {
			if uv, sd := m.UVDensity(printer.RGB{12, 34, 56}); math.IsNaN(uv) || math.IsNaN(sd) {
				t.Errorf("the model says %v +- %v", uv, sd)
			}
		}
		if p, err := k.Path(false); err == nil {
			p.At(50)
		}
		k.PrinterColours()
	})
}
