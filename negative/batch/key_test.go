package batch

import (
	"reflect"
	"testing"

	"actinic/negative/raster"
	"actinic/negative/tone"
)

// bentCurve is straight but for one place.
type bentCurve struct{ at float64 }

func (c bentCurve) Ink(tone float64) float64 {
	if tone > c.at && tone < c.at+0.05 {
		return tone + 0.01
	}
	return tone
}
func (bentCurve) Device(ink float64) [3]float64 { return straight{}.Device(ink) }
func (bentCurve) Neutral() bool                 { return true }

// coloured has another full ink.
type coloured struct{ straight }

func (coloured) Device(ink float64) [3]float64 { return [3]float64{1 - ink/200, 1, 1} }
func (coloured) Neutral() bool                 { return false }

// Whatever changes a film changes the key.
func TestKeyTells(t *testing.T) {
	seen := map[string]string{}
	add := func(name string, r *Recipe) {
		if other, there := seen[r.Key()]; there {
			t.Errorf("%s has the key of %s", name, other)
		}
		seen[r.Key()] = name
	}
	add("plain", &Recipe{Curve: straight{}})
	add("another curve", &Recipe{Curve: bentCurve{50}})
	add("another place", &Recipe{Curve: bentCurve{50.1}})
	add("another ink", &Recipe{Curve: coloured{}})
	add("PNG", &Recipe{Curve: straight{}, Format: PNG})
	add("not packed", &Recipe{Curve: straight{}, Compress: raster.NoCompression})
	add("a label", &Recipe{Curve: straight{}, Label: true})
	add("another label", &Recipe{Curve: straight{}, Label: true, About: Description{Process: "x"}})
	add("a part", &Recipe{Curve: straight{}, Tone: tone.Options{Part: &tone.Part{WidthMM: 1, HeightMM: 1}}})
	add("another part", &Recipe{Curve: straight{}, Tone: tone.Options{Part: &tone.Part{WidthMM: 1, HeightMM: 2}}})
	// Each option by itself, those to come too.
	fields := reflect.TypeFor[tone.Options]()
	for i := range fields.NumField() {
		r := &Recipe{Curve: straight{}}
		v := reflect.ValueOf(&r.Tone).Elem().Field(i)
		switch v.Kind() {
		case reflect.Bool:
			v.SetBool(true)
		case reflect.Int, reflect.Int64:
			v.SetInt(3)
		case reflect.Float64:
			v.SetFloat(1.5)
		default:
			continue
		}
		if name := fields.Field(i).Name; name != "HeldBytes" {
			add(name, r)
		}
	}
}

// What changes no film changes no key: memory, cores, date, the calibration's
// name, a depth that is written out, a part at another address.
func TestKeyKeepsStill(t *testing.T) {
	part := func() *tone.Part { return &tone.Part{WidthMM: 3, HeightMM: 4} }
	a := &Recipe{Curve: straight{}, Tone: tone.Options{Part: part()}}
	b := &Recipe{Curve: straight{}, Cores: 3, Tone: tone.Options{Part: part(), HeldBytes: 5, Depth: 16},
		About: Description{Name: "x", Date: "2031-04-05", Calibration: "c", Process: "p"}}
	if a.Key() != b.Key() {
		t.Error("the keys differ")
	}
	a.Label, b.Label = true, true
	a.About.Process, a.About.Calibration = "p", "c"
	if a.Key() != b.Key() {
		t.Error("a label's date tells: a film would be made again each day")
	}
	baked, err := tone.Bake(straight{})
	if err != nil {
		t.Fatal(err)
	}
	if (&Recipe{Curve: baked}).Key() != (&Recipe{Curve: straight{}}).Key() {
		t.Error("baking the curve changes the key")
	}
}
