package scan

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"actinic/testdata/outside"

	"pgregory.net/rapid"
)

// drawPins draws a page turned, stretched and curled at random.
func drawPins(t *rapid.T) []pin {
	n := rapid.IntRange(bendingPins, 25).Draw(t, "pins")
	angle, scale := rapid.Float64Range(-3, 3).Draw(t, "angle"), rapid.Float64Range(2, 25).Draw(t, "scale")
	sin, cos := math.Sincos(angle)
	pins := make([]pin, n)
	for i := range pins {
		// Along a golden spiral: never on one line, never at one place.
		r, turn := 150*math.Sqrt((float64(i)+0.5)/float64(n)), 2.399963*float64(i)
		x, y := 150+r*math.Cos(turn), 150+r*math.Sin(turn)
		dx, dy := rapid.Float64Range(-1, 1).Draw(t, "dx"), rapid.Float64Range(-1, 1).Draw(t, "dy")
		pins[i] = pin{Point{x, y}, Point{scale*(cos*x-sin*y+dx) + 500, scale*(sin*x+cos*y+dy) + 400}}
	}
	return pins
}

// A warp goes both ways, and its straight-line map at a place touches it there.
func TestWarpInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, _, ok := fitWarp(drawPins(t))
		if !ok {
			t.Fatal("no warp")
		}
		x, y := rapid.Float64Range(20, 280).Draw(t, "x"), rapid.Float64Range(20, 280).Draw(t, "y")
		at := w.ToPlane(x, y)
		if u, v := w.ToPage(at); math.Hypot(u-x, v-y) > 1e-3 {
			t.Errorf("(%v, %v) came back as (%v, %v)", x, y, u, v)
		}
		around := w.Around(x, y)
		const h = 1e-3
		for _, d := range []Point{{0, 0}, {h, 0}, {0, h}} {
			p, q := w.ToPlane(x+d.X, y+d.Y), around.ToPlane(x+d.X, y+d.Y)
			if math.Hypot(p.X-q.X, p.Y-q.Y) > 1e-4 {
				t.Errorf("at (%v, %v) + %v the warp has %v, its tangent %v", x, y, d, p, q)
			}
		}
	})
}

// The straight-line fit recovers any straight-line map from exact pins.
func TestAffineRecovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := func(name string) float64 { return rapid.Float64Range(-20, 20).Draw(t, name) }
		a := Affine{XX: c("xx"), XY: c("xy"), X0: c("x0"), YX: c("yx"), YY: c("yy"), Y0: c("y0")}
		if math.Abs(a.Area()) < 0.1 {
			t.Skip("flat")
		}
		pins := drawPins(t)
		for i := range pins {
			pins[i].at = a.ToPlane(pins[i].page.X, pins[i].page.Y)
		}
		b, ok := fitAffine(pins)
		p, q := a.ToPlane(77, 12), b.ToPlane(77, 12)
		if !ok || math.Hypot(p.X-q.X, p.Y-q.Y) > 1e-6 {
			t.Errorf("%+v came back as %+v", a, b)
		}
		if x, y := a.ToPage(p); math.Hypot(x-77, y-12) > 1e-6 {
			t.Errorf("(77, 12) came back as (%v, %v)", x, y)
		}
	})
}

func TestAffineRefusesALine(t *testing.T) {
	pins := []pin{{page: Point{0, 0}}, {page: Point{10, 20}}, {page: Point{20, 40}}, {page: Point{40, 80}}}
	if _, ok := fitAffine(pins); ok {
		t.Error("a map was laid through marks on one line")
	}
	if _, ok := fitAffine(pins[:2]); ok {
		t.Error("a map was laid through two marks")
	}
}

// somePins is a page of 12 marks that curls.
func somePins() []pin {
	var pins []pin
	for i := range 12 {
		x, y := float64(i%4)*60+10, float64(i/4)*90+15+7*float64(i%2)
		pins = append(pins, pin{Point{x, y}, Point{11.8*x - 0.9*y + 3*math.Sin(x/40), 0.9*x + 11.7*y + 5*math.Cos(y/70)}})
	}
	return pins
}

// The thin plate agrees with that of SciPy: RBFInterpolator, kernel
// thin_plate_spline, degree 1, smoothing the stiffness. What each pin is missed
// by is checked against plates of SciPy's laid without it.
func TestWarpAgreesWithSciPy(t *testing.T) {
	pins := somePins()
	w, missed, ok := fitWarp(pins)
	if !ok {
		t.Fatal("no warp")
	}
	var page, at []string
	for _, p := range pins {
		page = append(page, fmt.Sprintf("[%.17g,%.17g]", p.page.X, p.page.Y))
		at = append(at, fmt.Sprintf("[%.17g,%.17g]", p.at.X, p.at.Y))
	}
	script := fmt.Sprintf(`
import json, numpy as np
from scipy.interpolate import RBFInterpolator
page, at = np.array([%s]), np.array([%s])
lay = lambda p, a: RBFInterpolator(p, a, kernel="thin_plate_spline", degree=1, smoothing=%v)
there = lay(page, at)(np.array([[20.0, 30.0], [100.0, 200.0], [185.5, 77.25]]))
rest = [np.arange(len(page)) != i for i in range(len(page))]
missed = [float(np.hypot(*(lay(page[r], at[r])(page[~r]) - at[~r])[0])) for r in rest]
print(json.dumps({"there": there.tolist(), "missed": missed}))
`, strings.Join(page, ","), strings.Join(at, ","), float64(stiffness))
	var want struct {
		There  [][2]float64
		Missed []float64
	}
	if err := json.Unmarshal(outside.Run(t, "/usr/bin/python3", "python3-scipy", "-c", script), &want); err != nil {
		t.Fatal(err)
	}
	for i, x := range [][2]float64{{20, 30}, {100, 200}, {185.5, 77.25}} {
		p := w.ToPlane(x[0], x[1])
		if math.Hypot(p.X-want.There[i][0], p.Y-want.There[i][1]) > 1e-6 {
			t.Errorf("at %v: %v, SciPy has %v", x, p, want.There[i])
		}
	}
	for i := range missed {
		if math.Abs(missed[i]-want.Missed[i]) > 1e-6 {
			t.Errorf("pin %d is missed by %v, with SciPy by %v", i, missed[i], want.Missed[i])
		}
	}
}
