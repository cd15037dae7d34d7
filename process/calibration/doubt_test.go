package calibration

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"actinic/process/density"
	"actinic/process/measure"
)

// One print's factors hold what the ink's own column says, and say how tones hang
// together: doubt of a difference, by the fit's own covariance.
func TestDoubtIsTheFits(t *testing.T) {
	t.Parallel()
	for _, unit := range []measure.Unit{measure.InLightness, measure.InDensity} {
		s := darkroomScene()
		s.unit, s.levels, s.repeats = unit, 21, 1
		if unit == measure.InDensity {
			s.noise = 0.01
		}
		e := s.fit(t, 3)
		c := build(t, e, Request{})
		for i, sd := range c.Ink.PrintSD {
			near(t, "sd from the factors", math.Hypot(math.Sqrt(covariance(c.Doubt, i, i)), c.Doubt.Common), sd, 4e-3)
		}
		a, b := 60, 120
		rows := mat.NewDense(2, e.fit.size(), nil)
		for k, i := range []int{a, b} {
			o := observation{print: common, tablet: math.NaN(), ink: c.Ink.Percent[i], unit: measure.InLightness}
			e.fit.curves().reading(&o, rows.RawRowView(k))
		}
		var half, want mat.Dense
		half.Mul(rows, e.fit.covariance)
		want.Mul(&half, rows.T())
		near(t, "covariance of two tones", covariance(c.Doubt, a, b), want.At(0, 1), 1e-4)
		steps := c.Doubt.Tablet
		if len(steps.Density) != s.steps || len(steps.Noise) != s.steps {
			t.Fatalf("%d steps, want %d", len(steps.Density), s.steps)
		}
		step, sd := 7, 0.0
		for _, f := range steps.Factors {
			sd = math.Hypot(sd, f[step])
		}
		d, dsd := e.PrintDensity(density.LogExposure(-steps.Density[step]))
		near(t, "sd of a step", sd, -dsd*d.LightnessSlope(), 2e-3)
		if n := len(c.Doubt.Factors); n > 45 {
			t.Errorf("%d factors, want few", n)
		}
		l, noiseD := e.Noise()
		for i, got := range c.Doubt.Noise {
			noise := l
			if unit == measure.InDensity {
				noise = -noiseD * density.Lightness(c.Ink.PrintLstar[i]).Density().LightnessSlope()
			}
			near(t, "noise", got, noise, 1e-4+1e-3*noise)
		}
		readings := 0
		for _, r := range c.Doubt.Read {
			readings += r.Readings
		}
		if len(c.Doubt.Read) != s.levels || readings != s.levels*s.repeats {
			t.Errorf("%d levels, %d readings; want %d and %d", len(c.Doubt.Read), readings, s.levels, s.levels*s.repeats)
		}
	}
}

// How a further print may differ is what the model of several prints says, whose
// derivatives TestJacobian tries.
func TestFurtherPrint(t *testing.T) {
	t.Parallel()
	e, err := Fit([]Print{darkroomScene().print(1), darkroomScene().print(2)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	row, at := make([]float64, e.fit.size()), e.fit.deviation(0)
	for ink := 0.0; ink <= 100; ink += 12.5 {
		o := observation{print: 0, tablet: math.NaN(), ink: ink, unit: measure.InLightness}
		e.fit.curves().reading(&o, row)
		for k, got := range e.furtherAt(e.fit.curves().stopped(&o)) {
			want := row[at+k] * deviationPriors[k] * math.Sqrt(1.5) // a new print against the mean of two
			near(t, "by a deviation", got, want, 0.02+0.03*math.Abs(want))
		}
	}
}

func TestFactorsOf(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	roots := mat.NewDense(30, 4, nil)
	for i := range 30 {
		for k := range 4 {
			roots.Set(i, k, 0.1*rng.NormFloat64()) // L*, about what fits leave open
		}
	}
	var c mat.Dense
	c.Mul(roots, roots.T())
	d := &Doubt{DoubtColumns: DoubtColumns{Factors: factorsOf(&c)}}
	if len(d.Factors) != 4 {
		t.Errorf("%d factors of a matrix of rank 4", len(d.Factors))
	}
	for i := range 30 {
		for j := range 30 {
			near(t, "covariance", covariance(d, i, j), c.At(i, j), 1e-4)
		}
	}
	if f := factorsOf(mat.NewDense(3, 3, nil)); len(f) != 0 {
		t.Errorf("factors %v of nothing", f)
	}
}

func covariance(d *Doubt, i, j int) float64 {
	sum := 0.0
	for _, f := range d.Factors {
		sum += f[i] * f[j]
	}
	return sum
}
