package sensitometry

import (
	"errors"
	"math"
	"testing"

	"actinic/process/density"
	"actinic/process/monotone"
	"actinic/testdata/vectors"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// tabletGrid spans a tablet of density 3.05 with room to spare, as fits do.
var tabletGrid = monotone.Grid{Lo: -3.45, Hi: 0.8, Nodes: 161, Knots: 21}

// straight is a form without a correction whose argument is slope x (x - x0).
func straight(slope, x0, logAsymmetry float64, falling bool) *Form {
	p := make([]float64, FormParameters(tabletGrid))
	p[0], p[1], p[2] = slope*(Pivot-x0), math.Log(slope), logAsymmetry
	return NewForm(tabletGrid, p, falling)
}

// shift brings the vectors' log exposures to ours, where 0 is what reaches the
// paper through clear film.
const shift = 3.05

// example is D(x) = 0.08 + 1.42/(1+exp(-4(x-1.5))) of the vectors, shifted.
func example() *Curve {
	return &Curve{Form: straight(4, 1.5-shift, 0, false), Paper: 0.08, Net: 1.42, Low: -shift, High: 0}
}

// Every figure of the closed-form logistic, points as ISO 6846:1992 defines
// them, ten digits.
func TestPointsOfTheLogistic(t *testing.T) {
	c := example()
	p := c.Points()
	absolute, err := c.Exposure(0.9 * c.Maximum())
	if err != nil || len(p.Missing) > 0 {
		t.Fatal(err, p.Missing)
	}
	got := map[string]float64{
		"Dmin": float64(c.Paper), "Dmax": float64(c.Maximum()), "Dnet": float64(c.Net),
		"logH_T(Dmin+0.04)":                           float64(p.Toe) + shift,
		"logH_m(Dmin+0.60)":                           float64(p.Speed) + shift,
		"logH_S(net D=0.90*Dnet i.e. D=Dmin+0.9Dnet)": float64(p.Shoulder) + shift,
		"LER":                               float64(p.ExposureScale()),
		"ISO_R_raw=100*LER":                 100 * float64(p.ExposureScale()),
		"ISO_R_rounded10":                   float64(ISORange(p.ExposureScale())),
		"logH_S(alt: D=0.90*Dmax absolute)": float64(absolute) + shift,
		"LER_alt":                           float64(absolute - p.Toe),
		"avg_gradient_TS":                   c.AverageGradient(p),
		"max_gradient=k*Dnet/4":             c.Gradient(1.5 - shift),
		"ISO_speed_P=1000/Hm (H in lx s, log scale as given)": 1000 / math.Pow(10, float64(p.Speed)+shift),
	}
	read := vectors.Read(t, "sensitometry_logistic.csv")
	if len(read.Rows) != len(got) {
		t.Errorf("%d figures in the file, %d checked", len(read.Rows), len(got))
	}
	for i := range read.Rows {
		name, want := read.Cell(i, "quantity"), read.Float(i, "value")
		v, known := got[name]
		if !known {
			t.Errorf("%s is not checked", name)
		}
		near(t, name, v, want, 6e-10*math.Max(1, want))
	}
	// Black is our own point: 97 % of net density, by hand 1.5 + ln(97/3)/4.
	near(t, "black", float64(p.Black)+shift, 1.5+math.Log(97.0/3)/4, 1e-12)
	near(t, "needed range", float64(p.NeededRange()), float64(p.Black-p.Toe), 0)
}

func TestStepsOfTheLogistic(t *testing.T) {
	c := example()
	v := vectors.Read(t, "sensitometry_21step.csv")
	for i := range v.Rows {
		x, step := density.LogExposure(v.Float(i, "logH")-shift), v.Cell(i, "step")
		near(t, "density of step "+step, float64(c.Density(x)), v.Float(i, "D_print"), 6e-10)
		near(t, "exposure of step "+step, float64(x), -v.Float(i, "D_step"), 1e-12)
		back, err := c.Exposure(c.Density(x))
		if err != nil && math.Abs(float64(x)) > 1e-9 && math.Abs(float64(x)+shift) > 1e-9 {
			t.Error(err) // the end steps may fall outside by rounding
		}
		if err == nil {
			near(t, "exposure back", float64(back), float64(x), 1e-9)
		}
	}
}

// NIST StRD Rat43 is Richards' curve y = b1/(1+exp(b2-b3 x))^(1/b4). With its
// certified parameters, eleven digits, the form leaves the certified residual
// sum of squares.
func TestFormIsTheCurveOfRat43(t *testing.T) {
	study := vectors.ReadStudy(t, "rat43")
	b := study.Certified
	g := monotone.Grid{Lo: -1, Hi: 16, Nodes: 35, Knots: 3}
	p := make([]float64, FormParameters(g))
	p[0], p[1], p[2] = -b[2]-b[1]+math.Log(math.Pow(2, b[3])-1), math.Log(b[2]), math.Log(b[3])
	f, sum := NewForm(g, p, false), 0.0
	for i, x := range study.X {
		share := f.Share(density.LogExposure(x))
		r := study.Y[i] - b[0]*share
		sum += r * r
		near(t, "mean function", b[0]*share, b[0]/math.Pow(1+math.Exp(b[1]-b[2]*x), 1/b[3]), 1e-9)
	}
	if len(study.X) != 15 {
		t.Errorf("%d points, want 15", len(study.X))
	}
	near(t, "residual sum of squares", sum, study.RSS, 1e-6)
}

// A positive-working curve is the mirror image: every point lies as far on the
// other side.
func TestPointsOfAFallingCurve(t *testing.T) {
	up := example()
	down := &Curve{Form: straight(4, 1.5-shift, 0, true), Paper: 0.08, Net: 1.42, Low: -shift, High: 0}
	mirror := func(x density.LogExposure) float64 { return 2*(1.5-shift) - float64(x) }
	p, q := up.Points(), down.Points()
	near(t, "toe", float64(q.Toe), mirror(p.Toe), 1e-12)
	near(t, "shoulder", float64(q.Shoulder), mirror(p.Shoulder), 1e-12)
	near(t, "black", float64(q.Black), mirror(p.Black), 1e-12)
	near(t, "exposure scale", float64(q.ExposureScale()), float64(p.ExposureScale()), 1e-12)
	near(t, "average gradient", down.AverageGradient(q), up.AverageGradient(p), 1e-12)
	near(t, "gradient", down.Gradient(-1.3), -up.Gradient(density.LogExposure(mirror(-1.3))), 1e-12)
}

// missingEnds are curves that were not read all the way. Texts and lengths by
// hand from the logistic: the toe lies at 0.614760 - 3.05 = -2.435, black at
// 1.5 + ln(97/3)/4 - 3.05 = -0.681, the shoulder at -1.001, speed at -1.628.
var missingEnds = []struct {
	name                        string
	falling                     bool
	low, high                   density.LogExposure
	toe, speed, shoulder, black bool // known
	want                        []string
}{
	{"no paper white", false, -2.235, 0, false, true, true, true, []string{
		"paper white is missing: the readings end at a print density of 0.17, 0.12 is needed, about 0.20 further in log exposure (0.7 stops)"}},
	{"no black", false, -3, -0.9, true, true, true, false, []string{
		"maximum black is missing: the readings end at a print density of 1.40, 1.46 is needed, about 0.22 further in log exposure (0.7 stops)"}},
	{"neither", false, -2, -1.2, false, true, false, false, []string{
		"paper white is missing: the readings end at a print density of 0.28, 0.12 is needed, about 0.44 further in log exposure (1.4 stops)",
		"maximum black is missing by far: the readings end at a print density of 1.22 while tone still changes, at least 1.7 stops short"}},
	// Within 0.05 of the end a point is told: the first step of a tablet is that dense.
	{"just short of both", false, -2.40, -0.72, true, true, true, true, nil},
	{"just too short of both", false, -2.38, -0.74, false, true, true, false, []string{
		"paper white is missing: the readings end at a print density of 0.13, 0.12 is needed, about 0.06 further in log exposure (0.2 stops)",
		"maximum black is missing: the readings end at a print density of 1.45, 1.46 is needed, about 0.06 further in log exposure (0.2 stops)"}},
	// Mirrored about -1.55: black at -2.419, the toe at -0.665.
	{"positive-working, no black", true, -2.2, 0, true, true, true, false, []string{
		"maximum black is missing: the readings end at a print density of 1.40, 1.46 is needed, about 0.22 further in log exposure (0.7 stops)"}},
	{"positive-working, no paper white", true, -3, -0.865, false, true, true, true, []string{
		"paper white is missing: the readings end at a print density of 0.17, 0.12 is needed, about 0.20 further in log exposure (0.7 stops)"}},
	{"all", false, -3.05, 0, true, true, true, true, nil},
}

func TestMissingEnds(t *testing.T) {
	for _, test := range missingEnds {
		c := example()
		c.Form, c.Low, c.High = straight(4, 1.5-shift, 0, test.falling), test.low, test.high
		p := c.Points()
		known := func(x density.LogExposure) bool { return !math.IsNaN(float64(x)) }
		if known(p.Toe) != test.toe || known(p.Speed) != test.speed || known(p.Shoulder) != test.shoulder ||
			known(p.Black) != test.black || known(p.ExposureScale()) != (test.toe && test.shoulder) ||
			known(p.NeededRange()) != (test.toe && test.black) {
			t.Errorf("%s: points %+v", test.name, p)
		}
		var got []string
		for _, m := range p.Missing {
			got = append(got, m.Error())
		}
		if len(got) != len(test.want) {
			t.Fatalf("%s: missing %q, want %q", test.name, got, test.want)
		}
		for i := range got {
			if got[i] != test.want[i] {
				t.Errorf("%s: %q, want %q", test.name, got[i], test.want[i])
			}
		}
	}
}

// A print whose net density is below 0.60 has no speed point, however far it is
// read: nothing is missing.
func TestSpeedOfAWeakPrint(t *testing.T) {
	c := example()
	c.Net = 0.5
	if p := c.Points(); !math.IsNaN(float64(p.Speed)) || len(p.Missing) > 0 || math.IsNaN(float64(p.NeededRange())) {
		t.Errorf("points %+v, want all but speed and nothing missing", p)
	}
}

// A density that the paper never reaches is an error that says so.
func TestExposureOfImpossibleDensities(t *testing.T) {
	for d, want := range map[density.Density]string{
		1.6:  "maximum black is missing: the readings end at a print density of 1.50, 1.60 is needed, which no exposure gives",
		0.05: "paper white is missing: the readings end at a print density of 0.08, 0.05 is needed, which no exposure gives",
	} {
		_, err := example().Exposure(d)
		var miss *RangeError
		if !errors.As(err, &miss) || err.Error() != want {
			t.Errorf("density %g: %v, want %q", d, err, want)
		}
	}
	if _, err := example().Exposure(density.Density(math.NaN())); err == nil {
		t.Error("density NaN was taken")
	}
}

// Grade ranges from science of photographic papers: an exposure scale of 1.04
// is ISO R100, 1.06 is R110; 1.434546 is R140 (the rounding from memory).
func TestISORange(t *testing.T) {
	for scale, want := range map[density.LogExposure]int{1.04: 100, 1.06: 110, 1.434546: 140, 0.5547: 60, 0.9538: 100, 1.4506: 150} {
		if got := ISORange(scale); got != want {
			t.Errorf("ISORange(%g) = %d, want %d", scale, got, want)
		}
	}
}
