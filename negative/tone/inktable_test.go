package tone

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/testdata/vectors"
)

// lstar_density.csv and density_lstar.csv: CIE 15:2018 L* from Y, 10 digits.
func TestToneAgainstPublishedLightness(t *testing.T) {
	v := vectors.Read(t, "lstar_density.csv")
	for i := range v.Rows {
		want, y := v.Float(i, "Lstar"), v.Float(i, "Y")
		if got := float64(Of(float32(y))); math.Abs(got-want) > 3e-5 {
			t.Errorf("Y %g: tone %.6f, want %g", y, got, want)
		}
	}
	v = vectors.Read(t, "srgb8_decode.csv")
	for i := range v.Rows {
		y, want := v.Float(i, "linear"), v.Float(i, "Lstar")
		if got := float64(Of(float32(y))); math.Abs(got-want) > 3e-5 {
			t.Errorf("code %s: tone %.6f, want %g", v.Cell(i, "code"), got, want)
		}
	}
}

// Steps of luminance run from black to white without a gap, and each has the
// tone of CIE 15:2018.
func TestStepsAreMonotoneAndClose(t *testing.T) {
	last := uint32(0)
	for i := 0; i <= 150000; i++ {
		y := float32(math.Pow(float64(i)/150000, 3)) // dense at the dark end
		got := lumaStep(y)
		if got < last || got > lumaSteps {
			t.Fatalf("Y %g: step falls from %d to %d", y, last, got)
		}
		last = got
		want := float64(density.Reflectance(y).Lightness())
		if tone := stepTone(got); math.Abs(tone-want) > 1e-6+0.00001*(tone/100) {
			t.Fatalf("Y %g: tone %.7f, want %.7f", y, tone, want)
		}
	}
}

func TestToneEnds(t *testing.T) {
	for y, want := range map[float32]density.Lightness{0: 0, -1: 0, -1e-9: 0, 1: 100, 2: 100, 1 - 2.5e-7: 100,
		float32(math.Inf(1)): 100, float32(math.Inf(-1)): 0, float32(math.NaN()): 0, -1e30: 0, 1e30: 100} {
		if got := Of(y); got != want {
			t.Errorf("Y %g: %g, want %g", y, got, want)
		}
	}
	if got := Of(1 - 4e-7); got >= 100 {
		t.Errorf("just below white: %g, want less than 100", got)
	}
}

// Pixels agree with the curve itself to 1 of 65535, everywhere: kinks, the steep
// ends, and shadows down to the smallest float32 luminance.
func TestFilmAgainstDirectEvaluation(t *testing.T) {
	curves := map[string]Curve{"grey": greyCurve, "olive": olive, "kinks": kinkyCurve,
		"steep shadows": fakeCurve{power: 0.7}, "line": fakeCurve{power: 1}}
	for name, c := range curves {
		film, err := Bake(c)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for i := range 15000 {
			checkPixel(t, name, film, c, float32(math.Pow(float64(i)/15000, 4)))
			checkPixel(t, name, film, c, float32(i)/15000)
		}
	}
}

func checkPixel(t *testing.T, name string, film *InkTable, c Curve, y float32) {
	t.Helper()
	for _, invert := range []bool{false, true} {
		got := make([]uint16, film.Channels())
		film.Encode(got, []float32{y}, invert)
		tone := float64(density.Reflectance(y).Lightness())
		if invert {
			tone = 100 - tone
		}
		want := c.Device(c.Ink(min(max(tone, 0), 100)))
		for ch, v := range got {
			if math.Abs(float64(v)-math.Round(want[ch]*65535)) > 1 {
				t.Fatalf("%s: Y %g channel %d invert %v: %d, want %.2f", name, y, ch, invert, v, want[ch]*65535)
			}
		}
	}
}

func TestFilmEndsAreExact(t *testing.T) {
	film, err := Bake(olive)
	if err != nil {
		t.Fatal(err)
	}
	got := make([]uint16, 6)
	film.Encode(got, []float32{0, 1}, false)
	want := [6]uint16{65535, 65535, 65535, 13107, 22937, 0} // white, then 0.2, 0.35, 0 of 65535
	if [6]uint16(got) != want {
		t.Errorf("black and white: %v, want %v", got, want)
	}
	if codes := film.InkCodes(100); [3]uint16(codes) != [3]uint16(want[3:]) {
		t.Errorf("full ink: %v, want %v", codes, want[3:])
	}
	if codes := film.Codes(100); [3]uint16(codes) != [3]uint16(want[3:]) {
		t.Errorf("tone 100: %v, want %v", codes, want[3:])
	}
}

// A monotone curve stays monotone through the table, at every step.
func TestFilmIsMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 11))
	for range 12 {
		nodes := nodesCurve{{0, 0}}
		for len(nodes) < 8 {
			last := nodes[len(nodes)-1]
			nodes = append(nodes, [2]float64{last[0] + 0.2 + 12*r.Float64(), last[1] + 12*r.Float64()*float64(r.IntN(3))/2})
		}
		nodes = append(nodes, [2]float64{100, 100})
		film, last := film(t, nodes), uint16(65535)
		for i := 0; i <= 30000; i++ {
			got := film.Codes(float64(i) / 300)[0]
			if got > last {
				t.Fatalf("nodes %v: tone %g: code rises from %d to %d with more ink", nodes, float64(i)/300, last, got)
			}
			last = got
		}
	}
}

type badCurve struct {
	fakeCurve
	ink    func(float64) float64
	device func(float64) float64
}

func (c badCurve) Ink(tone float64) float64 {
	if c.ink != nil {
		return c.ink(tone)
	}
	return c.fakeCurve.Ink(tone)
}

func (c badCurve) Device(ink float64) [3]float64 {
	if c.device != nil {
		v := c.device(ink)
		return [3]float64{v, v, v}
	}
	return c.fakeCurve.Device(ink)
}

func TestBakeRefuses(t *testing.T) {
	bad := map[string]badCurve{
		"not a number": {fakeCurve: greyCurve, ink: func(float64) float64 { return math.NaN() }},
		"too much ink": {fakeCurve: greyCurve, ink: func(t float64) float64 { return 1.01 * t }},
		"jump": {fakeCurve: greyCurve, ink: func(t float64) float64 {
			if t < 40.1234567 {
				return 10
			}
			return 20
		}},
		"device below 0": {fakeCurve: greyCurve, device: func(ink float64) float64 { return 0.5 - ink/100 }},
	}
	for name, c := range bad {
		_, err := Bake(c)
		var f *fault.Error
		if !errors.As(err, &f) || f.Hint == "" {
			t.Errorf("%s: got %v, want an error with a hint", name, err)
		}
	}
}

func TestSteepest(t *testing.T) {
	line, err := Bake(fakeCurve{power: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got := line.Steepest(); math.Abs(got-1) > 1e-3 {
		t.Errorf("straight line: %g, want 1", got)
	}
	again, err := Bake(line)
	if err != nil || again != line {
		t.Errorf("baking a baked curve gave %p, %v; want the same %p", again, err, line)
	}
	kinks, err := Bake(kinkyCurve)
	if err != nil {
		t.Fatal(err)
	}
	if got := kinks.Steepest(); got < 25 || got > 39 { // its last piece: 27 % ink in 0.7 L*
		t.Errorf("kinks: %g, want 27/0.7 = 38.6 over half an L* or a little less", got)
	}
}
