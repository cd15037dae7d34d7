package calibration

import (
	"bytes"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/monotone"
)

// files are encoded calibrations: with a tablet, without, in a cut-out with two
// prints, positive-working, and two prints under one uneven lamp.
var files = sync.OnceValue(func() [][]byte {
	cut := darkroomScene()
	cut.levels, cut.repeats, cut.cutOut, cut.base = 21, 1, true, 0.1
	bare, positive := cut, cut
	bare.steps, bare.cutOut = 0, false
	positive.falling = true
	over := darkroomScene()
	over.levels, over.repeats = 21, 1
	uneven := unevenScene{scene: darkroomScene(), light: 0.06, coating: 0.03, lamp: 7}
	var out [][]byte
	for _, prints := range [][]Print{{over.print(1)}, {bare.print(1)}, {cut.print(1), over.print(2)}, {positive.print(1)}, {uneven.print(1), uneven.print(2)}} {
		falling := len(out) == 3
		e, err := Fit(prints, &Options{Falling: falling})
		if err != nil {
			panic(err)
		}
		c, err := e.Build(Request{Aim: AimLightness, Falling: falling, Made: time.Date(2024, 5, 6, 7, 8, 9, 987, time.FixedZone("", 7200)),
			Exposure: 480, Unit: "s", Setup: Setup{Printer: "any", Printing: Printed{Channels: 1, Depth: 16}}, Cautions: []string{"wear gloves <&>"}})
		if err != nil {
			panic(err)
		}
		var b bytes.Buffer
		if err := c.Encode(&b); err != nil {
			panic(err)
		}
		out = append(out, b.Bytes())
	}
	return out
})

func TestFileRoundTrip(t *testing.T) {
	for i, text := range files() {
		c, err := Decode(bytes.NewReader(text), "x.calibration.json")
		if err != nil {
			t.Fatal(i, err)
		}
		var again bytes.Buffer
		if err := c.Encode(&again); err != nil {
			t.Fatal(i, err)
		}
		if !bytes.Equal(again.Bytes(), text) {
			t.Errorf("file %d changes when it is read and written", i)
		}
		if _, err := c.InkCurve(); err != nil {
			t.Error(i, err)
		}
	}
}

// A file that the program wrote when the version was 1, its columns thinned, is
// read, and written again as one of today's.
func TestVersion1(t *testing.T) {
	text, err := os.ReadFile("testdata/version1.calibration.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte(`"version": 1,`)) || !bytes.Contains(text, []byte(`"unevenness_log_exposure": null`)) {
		t.Fatal("the file is not of version 1")
	}
	c, err := Decode(bytes.NewReader(text), "x")
	if err != nil {
		t.Fatal(err)
	}
	if c.Quality.Readings != 42 || c.Quality.Unevenness != nil || c.Quality.Flagged != nil {
		t.Errorf("quality %+v", c.Quality)
	}
	var again bytes.Buffer
	if err := c.Encode(&again); err != nil {
		t.Fatal(err)
	}
	if s := again.String(); !strings.Contains(s, `"version": 4`) || strings.Contains(s, "unevenness_log_exposure") {
		t.Error("written again it is not of version 4")
	}
	saysOlder(t, c)
	useAll(t, c)
}

// A file that the program wrote when the version was 2, its columns thinned.
func TestVersion2(t *testing.T) {
	text, err := os.ReadFile("testdata/version2.calibration.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte(`"version": 2,`)) || bytes.Contains(text, []byte(`"doubt"`)) {
		t.Fatal("the file is not of version 2")
	}
	c, err := Decode(bytes.NewReader(text), "x")
	if err != nil {
		t.Fatal(err)
	}
	if c.Version != 4 || c.Doubt != nil || c.Quality.Unevenness == nil || len(c.Exposure.Prints) != 2 {
		t.Errorf("version %d, doubt %v, unevenness %v, %d prints", c.Version, c.Doubt, c.Quality.Unevenness, len(c.Exposure.Prints))
	}
	saysOlder(t, c)
	useAll(t, c)
}

// A file of version 3 is one of today's without the conditions of its prints.
func TestVersion3(t *testing.T) {
	text := files()[2]
	from := bytes.Index(text, []byte(` "conditions": {`))
	to := from + bytes.Index(text[from:], []byte("},\n")) + len("},\n")
	old := slices.Concat(text[:from], text[to:])
	c, err := Decode(bytes.NewReader(bytes.Replace(old, []byte(`"version": 4`), []byte(`"version": 3`), 1)), "x")
	if err != nil {
		t.Fatal(err)
	}
	if c.Version != 4 || c.Doubt == nil || c.Conditions != (Conditions{}) {
		t.Errorf("version %d, doubt %v, conditions %+v", c.Version, c.Doubt, c.Conditions)
	}
	if err := c.CheckDoubt("old.json"); err != nil {
		t.Error(err)
	}
}

// saysOlder: what lower versions do not hold is asked for with a way out.
func saysOlder(t *testing.T, c *Calibration) {
	t.Helper()
	var user *fault.Error
	if err := c.CheckDoubt("old.json"); !errors.As(err, &user) || user.File != "old.json" || !strings.Contains(user.What, "older version") || !strings.Contains(user.Hint, "actinic curve") {
		t.Errorf("the doubt of a lower version: %v", err)
	}
}

// The file says when it was made, in whole seconds UTC, and of what.
func TestFileSaysOfWhat(t *testing.T) {
	c, err := Decode(bytes.NewReader(files()[2]), "x")
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Made.Format(time.RFC3339Nano); got != "2024-05-06T05:08:09Z" {
		t.Errorf("made %s", got)
	}
	want := []Input{{"ramp.csv", "bb"}, {"tablet.csv", "aa"}, {"ramp.csv", "bb"}, {"tablet.csv", "aa"}}
	if len(c.Inputs) != 4 {
		t.Fatalf("inputs %v", c.Inputs)
	}
	for i := range want {
		if c.Inputs[i] != want[i] {
			t.Errorf("input %d: %v, want %v", i, c.Inputs[i], want[i])
		}
	}
	if c.Cautions[0] != "wear gloves <&>" || c.Setup.Printer != "any" || len(c.Exposure.Prints) != 2 || c.Quality.Readings != 84 {
		t.Errorf("%+v %+v %d readings", c.Setup, c.Exposure, c.Quality.Readings)
	}
	if len(c.Curve.Tone) < 1024 {
		t.Errorf("%d nodes, want at least 1024", len(c.Curve.Tone))
	}
}

// TestDecodeRefuses breaks a good file in one place at a time.
func TestDecodeRefuses(t *testing.T) {
	good := string(files()[0])
	replace := func(old, new string) string {
		if !strings.Contains(good, old) {
			t.Fatalf("the file holds no %q", old)
		}
		return strings.Replace(good, old, new, 1)
	}
	for _, test := range []struct{ name, text, words string }{
		{"nothing", "", "is not a calibration"},
		{"no JSON", "tone,ink\n0,1\n", "is not a calibration"},
		{"a list", "[]", "is not a calibration"},
		{"half a file", good[:len(good)/2], "is not a calibration"},
		{"two files", good + good, "is not a calibration"},
		{"another format", replace(`"actinic calibration"`, `"actinic check"`), `found "actinic check", expected "actinic calibration"`},
		{"a higher version", replace(`"version": 4`, `"version": 5`), "found 5, this program reads 1 to 4"},
		{"humidity of 120 %", replace(`"humidity_percent": null`, `"humidity_percent": 120`), "field conditions.humidity_percent: found 120, expected 0 to 100"},
		{"version 0", replace(`"version": 4`, `"version": 0`), "found 0"},
		{"an unknown field", replace(`"aim": {`, `"haste": 1, "aim": {`), "haste"},
		{"text for a number", replace(`"black_lstar": `, `"black_lstar": "x", "y": `), "line "},
		{"no tones", replace(`"curve": {`, `"curve": {}, "x": {`), "x"},
	} {
		_, err := Decode(strings.NewReader(test.text), "f.json")
		var user *fault.Error
		if !errors.As(err, &user) || user.File != "f.json" || user.Hint == "" || !strings.Contains(err.Error(), test.words) {
			t.Errorf("%s: %v, want a hint, the file's name and %q", test.name, err, test.words)
		}
	}
}

// TestCheckRefuses spoils the numbers of a good calibration.
func TestCheckRefuses(t *testing.T) {
	for where, spoil := range map[string]func(c *Calibration){
		"curve":            func(c *Calibration) { c.Curve.Ink = c.Curve.Ink[1:] },
		"curve.tone":       func(c *Calibration) { c.Curve.Tone[0] = 1 },
		"curve, a turn":    func(c *Calibration) { c.Curve.Ink[30] = c.Curve.Ink[32] },
		"curve.ink":        func(c *Calibration) { c.Curve.Ink[len(c.Curve.Ink)-1] = 101 },
		"curve.uv_density": func(c *Calibration) { c.Curve.UVDensity = c.Curve.UVDensity[2:] },
		"ink.percent":      func(c *Calibration) { c.Ink.Percent[0] = 3 },
		"ink.print_lstar":  func(c *Calibration) { c.Ink.PrintLstar[7] = 0 },
		"ink.uv_density":   func(c *Calibration) { c.Ink.UVDensity[7] = 9 },
		"ink.path":         func(c *Calibration) { c.Ink.Path = c.Ink.Path[:1] },
		"ink.path, order":  func(c *Calibration) { c.Ink.Path = append(c.Ink.Path[:1:1], c.Ink.Path...) },
		"ink.path, code":   func(c *Calibration) { c.Ink.Path[1].Green = 300 },
		"characteristic":   func(c *Calibration) { c.Characteristic.PrintDensity = c.Characteristic.PrintDensity[1:] },
		"quality, map": func(c *Calibration) {
			c.Quality.Unevenness = &Unevenness{Lamp: &LampMap{XMM: []float64{1, 2}, YMM: []float64{1, 2}}}
		},
		"doubt, columns":        func(c *Calibration) { c.Doubt.Factors[1] = c.Doubt.Factors[1][1:] },
		"doubt, size":           func(c *Calibration) { c.Doubt.Factors[0][3] = 1e9 },
		"doubt, further print":  func(c *Calibration) { c.Doubt.Further = c.Doubt.Further[1:] },
		"doubt, noise":          func(c *Calibration) { c.Doubt.Noise[5] = 0 },
		"doubt, common":         func(c *Calibration) { c.Doubt.Common = -1 },
		"doubt.tablet":          func(c *Calibration) { c.Doubt.Tablet.Density = nil },
		"doubt.tablet, factors": func(c *Calibration) { c.Doubt.Tablet.Factors = c.Doubt.Tablet.Factors[1:] },
		"doubt.levels_read":     func(c *Calibration) { c.Doubt.Read[1].Readings = 0 },
		"doubt.levels_read, up": func(c *Calibration) { c.Doubt.Read[1].Ink = c.Doubt.Read[0].Ink },
		"characteristic, doubt": func(c *Calibration) { c.Characteristic.PrintDensitySD = nil },
	} {
		c, err := Decode(bytes.NewReader(files()[0]), "x")
		if err != nil {
			t.Fatal(err)
		}
		spoil(c)
		var b bytes.Buffer
		if err := c.Encode(&b); err != nil {
			t.Fatal(err)
		}
		_, err = Decode(&b, "spoiled.json")
		field, _, _ := strings.Cut(where, ",")
		var user *fault.Error
		if !errors.As(err, &user) || user.File != "spoiled.json" || !strings.HasPrefix(user.Where, "field "+strings.Split(field, ".")[0]) {
			t.Errorf("%s: %v", where, err)
		}
	}
}

// thinned is a file with few nodes, which a fuzzer gets further with.
func thinned(text []byte) []byte {
	c, err := Decode(bytes.NewReader(text), "x")
	if err != nil {
		panic(err)
	}
	few := func(v *[]float64) {
		if n := len(*v); n > 4 {
			*v = []float64{(*v)[0], (*v)[n/3], (*v)[n/2], (*v)[n-1]}
		}
	}
	for _, v := range []*[]float64{&c.Curve.Tone, &c.Curve.Ink, &c.Curve.UVDensity, &c.Curve.AimLstar, &c.Curve.ToneSD, &c.Curve.PrintSD,
		&c.Ink.Percent, &c.Ink.UVDensity, &c.Ink.SD, &c.Ink.PrintLstar, &c.Ink.PrintSD} {
		few(v)
	}
	if u := c.Quality.Unevenness; u != nil && u.Lamp != nil {
		u.Lamp.XMM, u.Lamp.YMM = []float64{20, 200}, []float64{20, 200}
		u.Lamp.LogExposure, u.Lamp.SD = [][]float64{{0.01, 0.02}, {0, 0}}, [][]float64{{0.01, 0.01}, {0, 0}}
	}
	if d := c.Doubt; d != nil {
		d.Factors, d.Read, d.Tablet = d.Factors[:2], d.Read[:2], nil
		few(&d.Noise)
		for _, columns := range [][][]float64{d.Factors, d.Further} {
			for k := range columns {
				few(&columns[k])
			}
		}
	}
	if k := c.Characteristic; k != nil {
		few(&k.LogExposure)
		few(&k.PrintDensity)
		few(&k.PrintDensitySD)
	}
	var b bytes.Buffer
	if err := c.Encode(&b); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// FuzzDecode: whatever is taken can be used, and is written and read the same.
func FuzzDecode(f *testing.F) {
	for _, text := range files() {
		f.Add(thinned(text))
	}
	small := `{"format":"actinic calibration","version":1,"curve":{"tone":[0,100],"ink":[0,100],"aim_lstar":[20,95],"tone_sd":[1,1],"print_sd":[1,1]},` +
		`"ink":{"path":[{"percent":0},{"percent":100,"red":255}],"percent":[0,100],"print_lstar":[20,95],"print_lstar_sd":[1,1]}}`
	f.Add([]byte(small))
	f.Add([]byte(strings.Replace(small, `"ink":[0,100]`, `"ink":[1e-300,1e-299]`, 1)))
	f.Add([]byte(`{"format":"actinic calibration","version":1}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := Decode(bytes.NewReader(text), "f")
		if err != nil {
			var user *fault.Error
			if !errors.As(err, &user) {
				t.Errorf("error %v is not for users", err)
			}
			return
		}
		useAll(t, c)
	})
}

// useAll does what commands do with a file.
func useAll(t *testing.T, c *Calibration) {
	k, err := c.InkCurve()
	if err != nil {
		t.Fatalf("taken, but gives no curve: %v", err)
	}
	for tone := -10.0; tone <= 110; tone += 5 {
		ink := k.Ink(tone)
		if !(ink >= 0 && ink <= 100) || math.IsNaN(float64(k.PrintLightness(ink))) {
			t.Fatalf("tone %g: ink %g, L* %g", tone, ink, k.PrintLightness(ink))
		}
		for _, v := range k.Device(ink) {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("ink %g: device %v", ink, k.Device(ink))
			}
		}
	}
	c.CharacteristicLine()
	c.UVDensityLine()
	c.CurveLine()
	c.InkLandmarks()
	c.Quality.Unevenness.Lines()
	c.Quality.Unevenness.cautions()
	if _, _, err := c.ExpectedPrint(); err != nil {
		t.Fatal(err)
	}
	var first, second bytes.Buffer
	if err := errors.Join(c.WriteCurveCSV(&bytes.Buffer{}), c.Encode(&first)); err != nil {
		t.Fatal(err)
	}
	again, err := Decode(bytes.NewReader(first.Bytes()), "f")
	if err != nil {
		t.Fatalf("what was written is refused: %v", err)
	}
	if err := again.Encode(&second); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Fatal("changes when written again", err)
	}
	if c.Ink.UVDensity == nil {
		return
	}
	uv, err := monotone.New(c.Ink.Percent, c.Ink.UVDensity)
	if err != nil {
		t.Fatalf("taken, but gives no UV density: %v", err)
	}
	for ink := 0.0; ink <= 100; ink += 2.5 {
		if math.IsNaN(uv.Held(ink)) || math.IsNaN(c.Ink.sdAt(ink)) {
			t.Fatalf("UV density %g +- %g at %g %%", uv.Held(ink), c.Ink.sdAt(ink), ink)
		}
	}
}

// The ink of one calibration on the same paper gives the same curve again.
func TestReuse(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.unit, s.noise = measure.InDensity, 0.004
	e := s.fit(t, 1)
	c := build(t, e, Request{})
	s.levels = 0
	r, err := s.fit(t, 2).Reuse(c, Request{Aim: AimLightness})
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(c.Curve.Tone); i += 64 {
		near(t, "print of the reused ink's curve", s.tone(r.Curve.Ink[i]), r.Curve.AimLstar[i], 3*r.Curve.ToneSD[i]+0.3)
		if r.Curve.ToneSD[i] < c.Curve.ToneSD[i]*0.5 {
			t.Errorf("tone %g: doubt %g from another calibration, %g at first hand", c.Curve.Tone[i], r.Curve.ToneSD[i], c.Curve.ToneSD[i])
		}
	}
	if len(r.Inputs) != 1 || !strings.Contains(strings.Join(r.Cautions, ""), "comes from another calibration") {
		t.Errorf("inputs %v, cautions %q", r.Inputs, r.Cautions)
	}
}
