package monotone

import (
	"encoding/binary"
	"errors"
	"math"
	"sort"
	"testing"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"

	"actinic/testdata/vectors"
)

// fataler is what the helpers need of *testing.T, *testing.B and *rapid.T.
type fataler interface {
	Helper()
	Fatal(args ...any)
	Errorf(format string, args ...any)
}

func mustNew(t fataler, x, y []float64) *Curve {
	t.Helper()
	c, err := New(x, y)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func mustValue(t fataler, c *Curve, x float64) float64 {
	t.Helper()
	y, err := c.Value(x)
	if err != nil {
		t.Fatal(err)
	}
	return y
}

// near fails unless got and want agree to tolerance, relative or absolute
// whichever is wider.
func near(t fataler, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: got %.13g, want %.13g", what, got, want)
	}
}

// digits12 is the precision that the files of reference values print.
const digits12 = 5e-12

// relative fails unless got is want to the relative tolerance.
func relative(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance*math.Abs(want)+1e-300 {
		t.Errorf("%s: got %.13g, want %.13g", what, got, want)
	}
}

// RPN 14 (Fritsch & Carlson 1980) and Akima's 11 points (J. ACM 17(4) 589,
// 1970): slopes and values of scipy 1.10.1 PchipInterpolator, 12 digits.
func TestAgainstScipy(t *testing.T) {
	for _, name := range []string{"rpn14", "akima"} {
		knots := vectors.Read(t, "pchip_"+name+"_knots.csv")
		c := mustNew(t, knots.Floats("x"), knots.Floats("y"))
		for i, x := range knots.Floats("x") {
			relative(t, name+" slope", c.d[i], knots.Float(i, "deriv"), digits12)
			if y, want := mustValue(t, c, x), knots.Float(i, "y"); y != want {
				t.Errorf("%s: knot at %g is %g, want it exact: %g", name, x, y, want)
			}
		}
		eval := vectors.Read(t, "pchip_"+name+"_eval.csv")
		for i, x := range eval.Floats("x") {
			relative(t, name+" value", mustValue(t, c, x), eval.Float(i, "pchip"), digits12)
			if name == "rpn14" { // the other file has no slopes
				s, err := c.Slope(x)
				if err != nil {
					t.Fatal(err)
				}
				relative(t, name+" dy/dx", s, eval.Float(i, "dpchip"), digits12)
			}
		}
	}
}

// The evaluation alone, on the slopes that Fritsch & Carlson's own method
// gives: values of scipy 1.10.1 CubicHermiteSpline. The
// slopes come with 12 digits, of which the value at 8.00 loses two.
func TestHermiteEvaluation(t *testing.T) {
	knots := vectors.Read(t, "fritsch_carlson_rpn14.csv")
	c := newHermite(knots.Floats("x"), knots.Floats("y"), knots.Floats("deriv"))
	eval := vectors.Read(t, "fritsch_carlson_rpn14_eval.csv")
	for i, x := range eval.Floats("x") {
		relative(t, "value", mustValue(t, c, x), eval.Float(i, "value"), 1e-10)
	}
}

// points draws monotone points, with ties in y and very unequal gaps.
func points(t *rapid.T) (x, y []float64) {
	n := rapid.IntRange(2, 20).Draw(t, "n")
	sign := rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
	gap := rapid.SampledFrom([]float64{1e-6, 0.01, 1, 1, 50})
	rise := rapid.SampledFrom([]float64{0, 0, 1e-9, 0.1, 1, 1, 30})
	x, y = []float64{rapid.Float64Range(-100, 100).Draw(t, "x0")}, []float64{rapid.Float64Range(-5, 5).Draw(t, "y0")}
	for i := 1; i < n; i++ {
		x = append(x, x[i-1]+gap.Draw(t, "gap"))
		y = append(y, y[i-1]+sign*rise.Draw(t, "rise"))
	}
	return x, y
}

// Another implementation of the same paper: gonum's FritschButland.
func TestAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := points(t)
		c := mustNew(t, x, y)
		var fb interp.FritschButland
		if err := fb.Fit(x, y); err != nil {
			t.Fatal(err)
		}
		low, high := c.Range()
		for i := 1; i < len(x); i++ {
			for _, f := range []float64{0, 0.1, 0.5, 0.77, 1} {
				u := x[i-1] + f*(x[i]-x[i-1])
				u = math.Min(u, x[i])
				// gonum forms the coefficients over h^3, so the shortest gaps cost it digits.
				near(t, "value", mustValue(t, c, u), fb.Predict(u), 1e-9*(1+high-low))
			}
		}
	})
}

// Fritsch & Carlson 1980: slopes over the secant in [0, 3] suffice for a cubic
// that does not turn back.
func TestSlopesAreInTheMonotonicityRegion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := points(t)
		c := mustNew(t, x, y)
		for i := range x[1:] {
			secant := (y[i+1] - y[i]) / (x[i+1] - x[i])
			for _, d := range c.d[i : i+2] {
				if secant == 0 && d != 0 || secant != 0 && !(d/secant >= 0 && d/secant <= 3*(1+1e-12)) {
					t.Fatalf("slope %g with secant %g", d, secant)
				}
			}
		}
	})
}

func TestMonotoneAndBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := points(t)
		c := mustNew(t, x, y)
		low, high := c.Range()
		slack := 1e-15 * math.Max(math.Abs(low), math.Abs(high))
		for i := 1; i < len(x); i++ {
			lo, hi := math.Min(y[i-1], y[i]), math.Max(y[i-1], y[i])
			last := y[i-1]
			for k := 1; k <= 50; k++ {
				u := math.Min(x[i-1]+float64(k)/50*(x[i]-x[i-1]), x[i])
				v := mustValue(t, c, u)
				if v < lo || v > hi {
					t.Fatalf("value %g at %g leaves %g to %g", v, u, lo, hi)
				}
				if (v-last)*(y[len(y)-1]-y[0]) < 0 && math.Abs(v-last) > slack {
					t.Fatalf("turns back at %g: %g after %g", u, v, last)
				}
				last = v
				if s, _ := c.Slope(u); s*(y[len(y)-1]-y[0]) < 0 {
					t.Fatalf("slope %g against the sense of the curve", s)
				}
			}
		}
	})
}

// The inverse of a value leads back to the value, to 1e-12 of the range.
func TestInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := points(t)
		c := mustNew(t, x, y)
		low, high := c.Range()
		v := math.Min(low+rapid.Float64Range(0, 1).Draw(t, "f")*(high-low), high)
		u, err := c.Inverse(v)
		if err != nil {
			t.Fatal(err)
		}
		// An ulp of x, on a steep stretch, is more than 1e-12 of y.
		s, err := c.Slope(u)
		if err != nil {
			t.Fatal(err)
		}
		ulp := math.Abs(s) * 4e-16 * math.Abs(u) * 4
		if back := mustValue(t, c, u); math.Abs(back-v) > 1e-12*(high-low)+ulp+1e-15*math.Abs(v) {
			t.Fatalf("inverse of %g is %g, where the curve is %g", v, u, back)
		}
	})
}

// On a strictly monotone, smooth curve the inverse of the inverse is x itself.
func TestInverseOfTheInverse(t *testing.T) {
	knots := make([]float64, 21)
	tones := make([]float64, 21)
	for i := range knots {
		knots[i] = float64(i) * 5
		tones[i] = 95 - 70/(1+math.Exp(-(knots[i]-50)/20))
	}
	c := mustNew(t, knots, tones)
	for u := 0.0; u <= 100; u += 0.37 {
		back, err := c.Inverse(mustValue(t, c, u))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x", back, u, 1e-12)
	}
}

func TestInverseOfALevelStretchIsItsMiddle(t *testing.T) {
	for _, c := range []struct {
		x, y    []float64
		at, mid float64
	}{
		{[]float64{0, 1, 2, 5, 6}, []float64{0, 2, 2, 2, 3}, 2, 3},
		{[]float64{0, 1, 2}, []float64{4, 4, 9}, 4, 0.5},
		{[]float64{0, 1, 2}, []float64{9, 4, 4}, 4, 1.5},
		{[]float64{0, 1, 8}, []float64{7, 7, 7}, 7, 4},
		{[]float64{0, 1, 2}, []float64{0, 1, 5}, 1, 1},
	} {
		got, err := mustNew(t, c.x, c.y).Inverse(c.at)
		if err != nil || got != c.mid {
			t.Errorf("inverse of %g on %v: %g, %v; want %g", c.at, c.y, got, err, c.mid)
		}
	}
}

func TestOutsideIsAnError(t *testing.T) {
	c := mustNew(t, []float64{0, 1, 2}, []float64{5, 3, 2})
	var re *RangeError
	for _, x := range []float64{-1e-9, 2.0000001, math.NaN(), math.Inf(1)} {
		if _, err := c.Value(x); !errors.As(err, &re) || re.Low != 0 || re.High != 2 {
			t.Errorf("Value(%g): %v", x, err)
		}
		if _, err := c.Slope(x); !errors.As(err, &re) {
			t.Errorf("Slope(%g): %v", x, err)
		}
	}
	for _, y := range []float64{1.999, 5.001, math.NaN(), math.Inf(-1)} {
		if _, err := c.Inverse(y); !errors.As(err, &re) || re.Low != 2 || re.High != 5 {
			t.Errorf("Inverse(%g): %v", y, err)
		}
	}
	if c.Held(-3) != 5 || c.Held(7) != 2 || c.Held(1) != 3 || !math.IsNaN(c.Held(math.NaN())) {
		t.Error("Held does not hold the ends")
	}
	if re.Error() == "" || c.Rising() {
		t.Error("sense or text wrong")
	}
}

func TestNewRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]struct {
		x, y []float64
		at   int // -1: no single point
	}{
		"lengths":     {[]float64{0, 1}, []float64{1}, -1},
		"one point":   {[]float64{0}, []float64{1}, -1},
		"NaN x":       {[]float64{0, nan, 2}, []float64{0, 1, 2}, 1},
		"NaN y":       {[]float64{0, 1, 2}, []float64{0, nan, 2}, 1},
		"infinite":    {[]float64{0, 1, inf}, []float64{0, 1, 2}, 2},
		"huge":        {[]float64{0, 1, 2}, []float64{0, 1, 1e200}, 2},
		"equal x":     {[]float64{0, 1, 1}, []float64{0, 1, 2}, 2},
		"unsorted":    {[]float64{0, 2, 1}, []float64{0, 1, 2}, 2},
		"turns":       {[]float64{0, 1, 2}, []float64{0, 1, 0.5}, 2},
		"turns later": {[]float64{0, 1, 2, 3}, []float64{3, 1, 1, 1.1}, 3},
		"tiny turn":   {[]float64{0, 1, 2}, []float64{0, 1e-200, 0}, 2},
		"too close":   {[]float64{0, 1e-300, 2}, []float64{0, 1e-250, 2}, 1},
		"steep":       {[]float64{0, 5e-324, 2}, []float64{0, 1, 2}, 1},
	} {
		_, err := New(c.x, c.y)
		var pe *PointError
		if err == nil || errors.As(err, &pe) != (c.at >= 0) || pe != nil && pe.Index != c.at {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// Whatever bytes make the points, New refuses them or gives a curve that keeps
// its promises.
func FuzzNew(f *testing.F) {
	for _, v := range [][]float64{{0, 1, 1, 2, 2, 2}, {0, 1, 1e-300, 2, 1, 2}, {-1e99, 1e99, 1e99, -1e99}} {
		var seed []byte
		for _, u := range v {
			seed = binary.LittleEndian.AppendUint64(seed, math.Float64bits(u))
		}
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var x, y []float64
		for ; len(b) >= 16; b = b[16:] {
			x = append(x, math.Float64frombits(binary.LittleEndian.Uint64(b)))
			y = append(y, math.Float64frombits(binary.LittleEndian.Uint64(b[8:])))
		}
		c, err := New(x, y)
		if err != nil {
			return
		}
		low, high := c.Range()
		for i := range x[1:] {
			v := mustValue(t, c, x[i]+(x[i+1]-x[i])/3)
			if !(v >= low && v <= high) {
				t.Fatalf("value %g outside %g to %g", v, low, high)
			}
			u, err := c.Inverse(v)
			if err != nil || !(u >= x[0] && u <= x[len(x)-1]) {
				t.Fatalf("inverse of %g is %g, %v", v, u, err)
			}
		}
	})
}

func BenchmarkValue(b *testing.B) {
	c := benchCurve(b)
	for i := 0; b.Loop(); i++ {
		if _, err := c.Value(float64(i % 1000)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkInverse(b *testing.B) {
	c := benchCurve(b)
	_, high := c.Range()
	for i := 0; b.Loop(); i++ {
		if _, err := c.Inverse(float64(i%1000) / 1000 * high); err != nil {
			b.Fatal(err)
		}
	}
}

func benchCurve(b *testing.B) *Curve {
	var x, y []float64
	for i := 0; i <= 1000; i += 25 {
		x = append(x, float64(i))
		y = append(y, math.Sqrt(float64(i)))
	}
	sort.Float64s(y)
	return mustNew(b, x, y)
}
