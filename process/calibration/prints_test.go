package calibration

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// handCoated is the scene printed once more, as hand-coated prints differ: black
// by 0.05, contrast by 3 % (sd; common practice, no published figure).
func (s scene) handCoated(rng *rand.Rand) scene {
	s.paper.net *= math.Exp(0.035 * rng.NormFloat64())
	s.paper.k *= math.Exp(0.03 * rng.NormFloat64())
	return s
}

// A further print, a little or four times as long in the light, tells its
// exposure within its doubt and brings the calibration nearer to what prints
// have in common.
func TestSeveralPrints(t *testing.T) {
	t.Parallel()
	for _, offset := range []float64{0.05, 0.6} {
		s := darkroomScene()
		s.levels = 21
		s.paper.x0 = sensitometry.Pivot // where contrast moves no exposure
		one, both := 0.0, 0.0
		for seed := range uint64(3) {
			rng := rand.New(rand.NewPCG(seed, 5))
			first, further := s.handCoated(rng), s.handCoated(rng)
			further.exposure = offset
			p, q := first.print(seed), further.print(seed+50)
			alone, err := Fit([]Print{p}, nil)
			if err != nil {
				t.Fatal(err)
			}
			e, err := Fit([]Print{p, q}, nil)
			if err != nil {
				t.Fatal(err)
			}
			x := e.exposure(Request{}).Prints
			if len(x) != 2 || math.Abs(x[0].Offset.Value) > 1e-3 {
				t.Fatalf("prints %+v, want the first at 0", x)
			}
			wantOffset := offset * further.paper.k / s.paper.k
			if off := x[1].Offset; math.Abs(off.Value-wantOffset) > 3*off.SD || off.SD > 0.03 {
				t.Errorf("seed %d: offset %.4f +- %.4f, want %g", seed, off.Value, off.SD, wantOffset)
			}
			want := math.Log(further.paper.k / first.paper.k)
			got := x[1].Contrast.Value - x[0].Contrast.Value
			near(t, "contrast", got, want, 0.06)
			one, both = one+s.error(alone)/3, both+s.error(e)/3
		}
		t.Logf("offset %g: a second print brings the tone error from %.3f to %.3f L*", offset, one, both)
		if both >= one {
			t.Errorf("offset %g: a second print brings the tone error from %.3f to %.3f L*", offset, one, both)
		}
	}
}

// A tablet in a cut-out of the film shows the film base; over the film it
// cannot, and the file says null.
func TestFilmBase(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.cutOut, s.base, s.noise, s.paper.x0 = true, 0.17, 0.3, -0.7 // clear film prints no full black
	c := build(t, s.fit(t, 3), Request{})
	if b := c.Characteristic.FilmBase; b == nil || math.Abs(b.Value-0.17) > 3*b.SD || b.SD > 0.05 {
		t.Errorf("film base %+v, want 0.17", b)
	}
	s.cutOut = false
	if b := build(t, s.fit(t, 3), Request{}).Characteristic.FilmBase; b != nil {
		t.Errorf("film base %+v under a tablet over the film, want null", b)
	}
}

// Without a tablet the file holds no UV density, no exposure scale and no
// first-black exposure, and says why; the curve is as good.
func TestNoTablet(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.steps = 0
	e := s.fit(t, 2)
	c := build(t, e, Request{Exposure: 480, Unit: "s"})
	var file bytes.Buffer
	if err := c.Encode(&file); err != nil {
		t.Fatal(err)
	}
	var fields struct {
		Characteristic *json.RawMessage `json:"characteristic"`
		Ink            map[string]any   `json:"ink"`
		Curve          map[string]any   `json:"curve"`
		Exposure       map[string]any   `json:"exposure"`
	}
	if err := json.Unmarshal(file.Bytes(), &fields); err != nil {
		t.Fatal(err)
	}
	if fields.Characteristic != nil {
		t.Error("characteristic is not null")
	}
	for name, v := range map[string]any{"ink.uv_density": fields.Ink["uv_density"], "ink.sd": fields.Ink["sd"],
		"ink.ink_range": fields.Ink["ink_range"], "curve.uv_density": fields.Curve["uv_density"],
		"exposure.first_black": fields.Exposure["first_black"]} {
		if v != nil {
			t.Errorf("%s is %v, want null", name, v)
		}
	}
	if !strings.Contains(c.Cautions[0], "without a step tablet") || e.HasTablet() || !e.HasRamp() {
		t.Errorf("cautions %q", c.Cautions)
	}
	if got := s.error(e); got > 0.25 {
		t.Errorf("tone error %.3f L*", got)
	}
	back, err := Decode(&file, "x")
	if err != nil || back.Characteristic != nil || back.Ink.UVDensity != nil {
		t.Errorf("read back: %v", err)
	}
}

// A positive-working process: print density falls as exposure grows, so that
// picture black needs the most ink, and no exposure is a first black.
func TestPositiveWorking(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.falling = true
	e := s.fit(t, 4)
	c := build(t, e, Request{Falling: true, Exposure: 480, Unit: "s"})
	n := len(c.Curve.Ink)
	if c.Curve.Ink[0] < 80 || c.Curve.Ink[n-1] > 20 || !strictlyRising(reverse(c.Curve.Ink)) || !c.Ink.Falling {
		t.Errorf("ink from %g to %g %%, want it to fall", c.Curve.Ink[0], c.Curve.Ink[n-1])
	}
	for _, i := range []int{200, 512, 800} {
		near(t, "print of the curve", s.tone(c.Curve.Ink[i]), c.Curve.AimLstar[i], 4*c.Curve.ToneSD[i])
	}
	want := s.paper.scale()
	if x := c.Characteristic.ExposureScale; x == nil || math.Abs(x.Value-want) > 4*x.SD {
		t.Errorf("exposure scale %+v, want %.3f", x, want)
	}
	if c.Exposure.FirstBlack != nil {
		t.Errorf("first black %+v of a process that lightens in the light", c.Exposure.FirstBlack)
	}
	// By hand: the mirrored paper is white 0.04 above the paper at
	// -2.2 + 1.15 + ln(1.4/0.04 - 1)/4 = -0.168 and black at -2.2 + 0.281 = -1.919.
	text := strings.Join(c.Cautions, "\n")
	if strings.Contains(text, "lack is reached") || strings.Contains(text, "reach black") || strings.Contains(text, "falls short") ||
		!strings.Contains(text, "Paper white is reached 0.") {
		t.Errorf("cautions %q", c.Cautions)
	}
	s.uv = func(u float64) float64 { return 1.3 * u }
	text = strings.Join(build(t, s.fit(t, 4), Request{Falling: true}).Cautions, "\n")
	if !strings.Contains(text, "falls short by 0.6") || !strings.Contains(text, "black needs a UV density of 1.9") {
		t.Errorf("cautions of a weak ink %q", text)
	}
}

func reverse(v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[len(v)-1-i] = v[i]
	}
	return out
}

// An ink that stops too little still gives a calibration, which says by how
// much the ink and the highlights fall short. By hand: paper white, 0.04 above
// the paper, lies at -1.15 - ln(1.4/0.04 - 1)/4 = -2.032; full ink stops 1.5.
func TestShortInkRange(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.uv = func(u float64) float64 { return 1.5 * u }
	c := build(t, s.fit(t, 1), Request{})
	text := strings.Join(c.Cautions, "\n")
	var ink, short, stops, needs float64
	if i := strings.Index(text, "The ink range, "); i < 0 {
		t.Fatalf("cautions %q", c.Cautions)
	} else if _, err := fmt.Sscanf(text[i:], "The ink range, %f, falls short by %f (%f stops): paper white needs a UV density of %f", &ink, &short, &stops, &needs); err != nil {
		t.Fatal(err, text)
	}
	near(t, "ink range", ink, 1.5, 0.05)
	near(t, "UV density for white", needs, 2.032, 0.1)
	near(t, "short by", short, 0.532, 0.1)
	near(t, "short in stops", stops, short/density.Stop, 0.06)
	if !strings.Contains(text, "Highlights stop at L*") {
		t.Errorf("nothing on highlights in %q", text)
	}
	if n := len(c.Curve.Ink); c.Curve.Ink[n-1] < 99.9 {
		t.Errorf("picture white uses %g %% of an ink that is too weak", c.Curve.Ink[n-1])
	}
}

// Clear film that does not reach black says how much longer to expose. By hand:
// black lies at x0 + ln(97/3)/4 = -0.8 + 0.869.
func TestBlackNotReached(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.paper.x0, s.noise = -0.8, 0.2
	c := build(t, s.fit(t, 1), Request{Exposure: 480, Unit: "s"})
	text := strings.Join(c.Cautions, "\n")
	var times float64
	if i := strings.Index(text, "Clear film did not reach black: expose "); i >= 0 {
		if _, err := fmt.Sscanf(text[i:], "Clear film did not reach black: expose %f times as long", &times); err != nil {
			t.Fatal(err, text)
		}
		near(t, "times as long", times, math.Pow(10, -0.8+math.Log(97.0/3)/4), 0.15)
	} else if !strings.Contains(text, "maximum black is missing") {
		t.Errorf("cautions %q say nothing of black", c.Cautions)
	}
	good := darkroomScene()
	for _, text := range build(t, good.fit(t, 1), Request{}).Cautions {
		if strings.Contains(text, "black") {
			t.Errorf("a print that reaches black is cautioned: %q", text)
		}
	}
}

// The exposure given and the tablet give the first-black exposure; by hand,
// black lies at -1.15 + ln(97/3)/4 = -0.281, so that 480 s become 251.
func TestFirstBlackOfACalibration(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.unit, s.noise = measure.InDensity, 0.005
	c := build(t, s.fit(t, 1), Request{Exposure: 480, Unit: "s", Made: time.Unix(0, 0)})
	want := 480 * math.Pow(10, s.paper.x0+math.Log(97.0/3)/4)
	if b := c.Exposure.FirstBlack; b == nil || math.Abs(b.Value-want) > 3*b.SD || b.SD > 0.1*want {
		t.Errorf("first black %+v, want %.0f s", b, want)
	}
	if *c.Exposure.Given != 480 || c.Exposure.Unit != "s" {
		t.Errorf("exposure %+v", c.Exposure)
	}
}
