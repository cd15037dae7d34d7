package printer

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
	"actinic/process/internal/leastsquares"
	"actinic/process/opacity"
	"actinic/testdata/vectors"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// The file's own order of the eight areas, as bits of the three inks.
var primaries = map[string]int{"W": 0, "C": 1, "M": 2, "Y": 4, "B": 3, "G": 5, "R": 6, "K": 7}

// Demichel areas and Neugebauer totals of ten digits, computed in double precision
// with Python from the published formulas.
func TestNeugebauerVectors(t *testing.T) {
	v := vectors.Read(t, "neugebauer_demichel.csv")
	got := areas([3]float64{0.5, 0.3, 0.2})
	var corner [8]float64
	for row := range v.Rows {
		name := v.Cell(row, "primary")
		if k, ok := primaries[name]; ok {
			near(t, "area of "+name, got[k], v.Float(row, "area"), 1e-12)
			corner[k] = -math.Log10(v.Float(row, "T_primary"))
		}
	}
	for row := range v.Rows {
		n, ok := map[string]float64{"TOTAL_D_n1": 1, "TOTAL_D_n2": 2}[v.Cell(row, "primary")]
		if !ok {
			continue
		}
		uv, part := mixed(got, passing(corner, 1/n), 1/n)
		near(t, v.Cell(row, "primary"), uv, v.Float(row, "area"), 6e-11)
		sum := 0.0
		for _, p := range part {
			sum += p
		}
		near(t, "sum of the parts", sum, 1, 1e-14)
	}
}

// oneInk mixes clear film with one ink of a UV density.
func oneInk(area, solid, n float64) float64 {
	uv, _ := mixed([8]float64{1 - area, area}, passing([8]float64{0, solid}, 1/n), 1/n)
	return uv
}

// Yule-Nielsen dot areas of ten digits, computed with Python from the published
// formula: the area must give the tint's density back.
func TestYuleNielsenVectors(t *testing.T) {
	v := vectors.Read(t, "murray_davies_yule_nielsen.csv")
	for row := range v.Rows {
		for column, n := range map[string]float64{"a_n1": 1, "a_n1.5": 1.5, "a_n1.7": 1.7, "a_n2": 2, "a_n3": 3} {
			got := oneInk(v.Float(row, column), v.Float(row, "D_solid"), n)
			near(t, column, got, v.Float(row, "D_tint"), 1e-8)
		}
	}
}

// The forward columns of the same origin; the one without a factor is also what
// the ink ramp's own Murray-Davies rule says.
func TestCoverageDensityVectors(t *testing.T) {
	v := vectors.Read(t, "coverage_density.csv")
	for row, area := range v.Floats("a") {
		near(t, "n 1.5", oneInk(area, 2, 1.5), v.Float(row, "YN_n1.5_D2"), 6e-10)
		near(t, "n 2", oneInk(area, 2, 2), v.Float(row, "YN_n2_D2"), 6e-10)
		near(t, "n 1", oneInk(area, 2, 1), v.Float(row, "Dink2.0"), 6e-10)
		near(t, "as the ink ramp", oneInk(area, 2, 1), float64(opacity.AreaDensity(area, density.Density(2))), 1e-12)
	}
}

// By hand: where n grows without end, transmittances multiply to the power of
// their areas, so that densities add up by area.
func TestLargeExponentAddsDensities(t *testing.T) {
	near(t, "n 1e6", oneInk(0.3, 2, 1e6), 0.6, 1e-5)
	near(t, "n 50", oneInk(0.3, 2, 1/leastShare), 0.6, 0.02)
}

// drawMix returns parameters as wide apart as the prior allows.
func drawMix(rng *rand.Rand) []float64 {
	p, prior := make([]float64, mixCount), priorOf(1)
	for k := range p {
		p[k] = prior.mean[k] + 1.5*prior.sd[k]*rng.NormFloat64()
	}
	return p
}

func TestMixIsZeroAtClear(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	row := make([]float64, mixCount)
	for range 50 {
		m := newMix(drawMix(rng))
		near(t, "clear film", m.sensitivity(Clear, row), 0, 0)
		for k, v := range row {
			if v != 0 {
				t.Fatalf("derivative %d at clear film is %g, want 0", k, v)
			}
		}
		near(t, "all inks in full", m.uvDensity(RGB{}), m.corner[7], 1e-12)
	}
}

func TestMixSensitivity(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	var points []Point
	for range 40 {
		points = append(points, number(RGB{255 * rng.Float64(), 255 * rng.Float64(), 255 * rng.Float64()}, 2*rng.Float64(), 0.02))
	}
	s := gather(points, nil)
	s.sumUp()
	s.setNet(nil)
	trust := make([]float64, len(points))
	for i := range trust {
		trust[i] = 1
	}
	for range 5 {
		if err := leastsquares.CheckJacobian(mixProblem(s.colours, priorOf(1), trust), drawMix(rng), 1e-5); err != nil {
			t.Error(err)
		}
	}
}

// Where each corner stops more than those with one ink less, more of a channel
// stops more wherever one stands: the physical mean is monotone.
func TestMixRisesWhereCornersDo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawMix(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)))
		for k := 1; k < 8; k++ {
			least := math.Inf(-1)
			for i := range 3 {
				if k>>i&1 == 1 && k != 1<<i {
					least = math.Max(least, p[cornersAt+k-(1<<i)-1])
				}
			}
			p[cornersAt+k-1] = math.Max(p[cornersAt+k-1], least+0.01)
		}
		m := newMix(p)
		c := RGB{255, rapid.Float64Range(0, 255).Draw(t, "g"), rapid.Float64Range(0, 255).Draw(t, "b")}
		for before := m.uvDensity(c); c[0] > 0; c[0] -= 5 {
			now := m.uvDensity(c)
			if now < before-1e-12 {
				t.Fatalf("UV density falls from %g to %g at %v", before, now, c)
			}
			before = now
		}
	})
}
