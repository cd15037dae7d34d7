package printer

import (
	"math"
	"math/rand/v2"
	"testing"
)

func mustFit(t testing.TB, points []Point, o *Options) *Model {
	t.Helper()
	m, err := Fit(points, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// tally is how far predictions of colours that nobody measured are off.
type tally struct{ squares, inside, n float64 }

func (a *tally) add(got, sd, want float64) {
	a.n++
	a.squares += (got - want) * (got - want)
	if math.Abs(got-want) <= 1.96*sd {
		a.inside++
	}
}

func (a *tally) rms() float64   { return math.Sqrt(a.squares / a.n) }
func (a *tally) share() float64 { return a.inside / a.n }

// predictAny holds n predictions against an invented printer.
func (a *tally) predictAny(m *Model, p *invented, n int, rng *rand.Rand) {
	for range n {
		c := anyColour(rng)
		uv, sd := m.UVDensity(c)
		a.add(uv, sd, p.uv(c))
	}
}

const readingSD = 0.015

// The issue asks for 0.06 from a chart; bands of 95 % must hold what they say.
func TestUnmeasuredColours(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name          string
		kind, colours int
		printers      int
		rms           float64
	}{
		{"no light inks, 200 colours", 0, 200, 3, 0.03},
		{"light inks, 200 colours", 1, 200, 3, 0.04},
		{"abrupt light inks, 200 colours", 2, 200, 3, 0.06},
		{"abrupt light inks, 924 colours", 2, 924, 1, 0.04},
	} {
		t.Run(test.name, func(t *testing.T) {
			var a tally
			for seed := range uint64(test.printers) {
				rng := rand.New(rand.NewPCG(seed, 4242))
				p := newInvented(seed, test.kind)
				m := mustFit(t, p.read(chartOf(test.colours), readingSD, rng), nil)
				a.predictAny(m, p, 400, rng)
			}
			t.Logf("rms %.4f, inside 95 %% bands %.3f", a.rms(), a.share())
			if !(a.rms() <= test.rms) {
				t.Errorf("off by %.4f rms, want at most %g", a.rms(), test.rms)
			}
			if !(a.share() >= 0.90 && a.share() <= 0.995) {
				t.Errorf("95 %% bands hold %.3f of the truths", a.share())
			}
		})
	}
}

// What HeldOut says of a model must be what the model does with colours that
// really are new.
func TestHeldOutIsHonest(t *testing.T) {
	t.Parallel()
	var held, fresh tally
	for seed := range uint64(5) {
		rng := rand.New(rand.NewPCG(seed, 4243))
		p := newInvented(seed, 1)
		points := p.read(chartOf(200), readingSD, rng)
		m := mustFit(t, points, nil)
		got, err := m.HeldOut(10, 1)
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != 199 { // all but clear film
			t.Fatalf("%d predictions, want 199", len(got))
		}
		for i, h := range got {
			if h.RGB != points[i+1].RGB {
				t.Fatalf("prediction %d is of %v, want %v", i, h.RGB, points[i+1].RGB)
			}
			held.add(h.Predicted, h.PredictedSD, p.uv(h.RGB))
		}
		// New colours from the chart's own kind: the rest of a longer chart.
		for _, c := range chartOf(400)[200:] {
			uv, sd := m.UVDensity(c)
			fresh.add(uv, sd, p.uv(c))
		}
	}
	t.Logf("held out %.4f and %.3f, new %.4f and %.3f", held.rms(), held.share(), fresh.rms(), fresh.share())
	if r := held.rms() / fresh.rms(); !(r > 0.7 && r < 1.8) {
		t.Errorf("held-out colours are off %.2f times as far as new ones", r)
	}
	if !(held.share() >= 0.90) {
		t.Errorf("95 %% bands hold %.3f of the held-out truths", held.share())
	}
}

// What is left out must not be seen: the noise of a colour's own reading says
// nothing of the error of its prediction.
func TestHeldOutSeesNothing(t *testing.T) {
	t.Parallel()
	var both, noise, errors float64
	for seed := range uint64(3) {
		p := newInvented(seed, 0)
		held, err := HeldOut(p.read(chartOf(200), 0.05, rand.New(rand.NewPCG(seed, 4251))), nil, 10, seed)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range held {
			n, e := h.Measured-p.uv(h.RGB), h.Predicted-p.uv(h.RGB)
			both, noise, errors = both+n*e, noise+n*n, errors+e*e
		}
	}
	if r := both / math.Sqrt(noise*errors); !(math.Abs(r) < 0.15) { // 0.04 by chance
		t.Errorf("errors of predictions and noise of readings correlate by %.2f", r)
	}
}

// A printer whose every colour is a little off by itself, however often it is read.
func TestIrregularityIsFound(t *testing.T) {
	t.Parallel()
	const off = 0.05
	var a tally
	for seed := range uint64(3) {
		rng := rand.New(rand.NewPCG(seed, 4252))
		p := newInvented(seed, 0)
		var points []Point
		for _, c := range chartOf(200) {
			uv := p.uv(c)
			uv += off * uv / (uv + halfReach) * rng.NormFloat64()
			for range 3 {
				points = append(points, number(c, uv+0.01*rng.NormFloat64(), 0.01))
			}
		}
		m := mustFit(t, points, nil)
		near(t, "irregularity", m.Irregularity(), off, 0.3*off)
		for range 400 {
			c := anyColour(rng)
			uv, sd := m.UVDensity(c)
			truth := p.uv(c)
			a.add(uv, sd, truth+off*truth/(truth+halfReach)*rng.NormFloat64())
		}
	}
	t.Logf("inside 95 %% bands %.3f", a.share())
	if !(a.share() >= 0.92 && a.share() <= 0.98) {
		t.Errorf("95 %% bands hold %.3f of the truths", a.share())
	}
}

// Patches too dark to read say "at least" only; they must lift what the colours
// around would make of them, and cost the rest nothing.
func TestBoundsInform(t *testing.T) {
	t.Parallel()
	const most = 0.5
	var with, without, below tally
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 4244))
		p := newInvented(seed, 0)
		p.bend = [3]float64{4, 4, 4} // rises late: what is known falls short of the rest
		var numbers, all []Point
		for _, q := range p.read(chartOf(200), readingSD, rng) {
			if q.UVDensity > most {
				q.UVDensity, q.AtLeast, q.SD = math.NaN(), most-1.64*readingSD, math.NaN()
			} else {
				numbers = append(numbers, q)
			}
			all = append(all, q)
		}
		a, b := mustFit(t, all, nil), mustFit(t, numbers, nil)
		for range 300 {
			c := anyColour(rng)
			uv, sd := a.UVDensity(c)
			if want := p.uv(c); want <= most {
				below.add(uv, sd, want)
			} else { // a prediction above the bound is right, below it wrong
				with.add(math.Min(uv, most), sd, most)
				uv, sd = b.UVDensity(c)
				without.add(math.Min(uv, most), sd, most)
			}
		}
	}
	t.Logf("below reach %.4f; short of the bound by %.4f with bounds, %.4f without", below.rms(), with.rms(), without.rms())
	if !(below.rms() <= 0.03) {
		t.Errorf("within reach off by %.4f", below.rms())
	}
	if !(with.rms() <= without.rms() && with.rms() <= 0.03) {
		t.Errorf("dark colours fall short of their bound by %.4f, by %.4f without bounds", with.rms(), without.rms())
	}
}

// One reading in 25 is dust or a pinhole, off by half a density.
func TestDustDoesNotSpoil(t *testing.T) {
	t.Parallel()
	var dusty, clean tally
	for seed := range uint64(4) {
		p := newInvented(seed, 1)
		points := p.read(chartOf(120), readingSD, rand.New(rand.NewPCG(seed, 4245)))
		clean.predictAny(mustFit(t, points, nil), p, 300, rand.New(rand.NewPCG(seed, 1)))
		for i := 3; i < len(points); i += 15 {
			points[i].UVDensity += []float64{0.5, -0.5}[i%2]
		}
		dusty.predictAny(mustFit(t, points, nil), p, 300, rand.New(rand.NewPCG(seed, 1)))
	}
	t.Logf("clean %.4f, dusty %.4f", clean.rms(), dusty.rms())
	if !(dusty.rms() <= 1.7*clean.rms() && dusty.rms() <= 0.06) {
		t.Errorf("with dust off by %.4f, without by %.4f", dusty.rms(), clean.rms())
	}
}

// Nuisance terms: two prints with an offset each and a slope over the sheet.
func TestTermsAreFound(t *testing.T) {
	t.Parallel()
	var off, count float64
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 4246))
		p := newInvented(seed, 0)
		truth := []float64{0.05, -0.03, 0.04}
		var points []Point
		for k := range 2 {
			for _, q := range p.read(chartOf(200), readingSD, rng) {
				q.Terms = []float64{0, 0, 2*rng.Float64() - 1}
				q.Terms[k] = 1
				q.UVDensity += offset(q.Terms, truth)
				points = append(points, q)
			}
		}
		m := mustFit(t, points, &Options{TermSD: []float64{0.05, 0.05, 0.05}})
		mean, cov := m.Terms()
		for k, want := range truth {
			z := (mean[k] - want) / math.Sqrt(cov.At(k, k))
			off += z * z
			count++
			near(t, "coefficient", mean[k], want, 4*math.Sqrt(cov.At(k, k)))
		}
		near(t, "difference of the offsets", mean[0]-mean[1], 0.08, 0.01)
		var a tally
		a.predictAny(m, p, 300, rng)
		if !(a.rms() <= 0.03) {
			t.Errorf("colours off by %.4f", a.rms())
		}
	}
	if r := math.Sqrt(off / count); !(r < 2) {
		t.Errorf("coefficients are off by %.2f times their doubt", r)
	}
}

// All ways of asking agree with each other.
func TestAnswersAgree(t *testing.T) {
	p, rng := newInvented(1, 1), rand.New(rand.NewPCG(1, 4247))
	points := p.read(chartOf(150), readingSD, rng)
	for i := range points {
		points[i].Shared = 0.01
	}
	m := mustFit(t, points, nil)
	cs := []RGB{Clear, {0, 0, 0}, points[20].RGB, {254, 255, 255}}
	for range 60 {
		cs = append(cs, anyColour(rng))
	}
	fast, cov := m.UVDensities(cs), m.Covariance(cs)
	for i, c := range cs {
		uv, sd := m.UVDensity(c)
		near(t, "UVDensities", fast[i], uv, 1e-9)
		near(t, "root of the covariance's diagonal", math.Sqrt(cov.At(i, i)), sd, 1e-7)
		if c == Clear && (uv != 0 || sd != 0) || c != Clear && !(uv > 0 && sd > 0) {
			t.Errorf("%v stops %g +- %g", c, uv, sd)
		}
		for j := range cs {
			if r := cov.At(i, j) * cov.At(i, j); r > 1.000001*cov.At(i, i)*cov.At(j, j) {
				t.Errorf("covariance of %v and %v is larger than their doubts", c, cs[j])
			}
		}
	}
	again := mustFit(t, points, nil)
	if uv, sd := m.UVDensity(cs[9]); true {
		uv2, sd2 := again.UVDensity(cs[9])
		if uv != uv2 || sd != sd2 {
			t.Error("the same readings make another model")
		}
	}
}

// An error that all readings have in common stays, however many there are: the
// bands must hold the truth all the same.
func TestSharedDoubtStays(t *testing.T) {
	t.Parallel()
	var with, without tally
	for seed := range uint64(6) {
		rng := rand.New(rand.NewPCG(seed, 4249))
		p, scale := newInvented(seed, 0), 1+0.03*rng.NormFloat64()
		points := p.read(chartOf(100), 0.01, rng)
		for i := range points {
			points[i].UVDensity *= scale
		}
		without.predictAny(mustFit(t, points, nil), p, 100, rng)
		for i := range points {
			points[i].Shared = 0.03 * math.Max(0, points[i].UVDensity)
		}
		with.predictAny(mustFit(t, points, nil), p, 100, rng)
	}
	t.Logf("bands hold %.3f with, %.3f without", with.share(), without.share())
	if !(with.share() >= 0.9 && without.share() <= 0.8) {
		t.Errorf("95 %% bands hold %.3f of the truths with the shared doubt, %.3f without", with.share(), without.share())
	}
	d := newSharedDoubt([]Point{{UVDensity: 1, Shared: 0.02}, {UVDensity: 1, Shared: 0.02}})
	near(t, "half way", d.at(0.5), 0.01, 1e-15)
	near(t, "known", d.at(1), 0.02, 1e-15)
	near(t, "beyond", d.at(1.5), 0.03, 1e-15)
	near(t, "clear film", d.at(0), 0, 0)
}

// Many readings of few colours say what their mean says.
func TestRepeatsAreTheirMean(t *testing.T) {
	p, rng := newInvented(2, 0), rand.New(rand.NewPCG(2, 4248))
	single := p.read(chartOf(60), 0.02, rng)
	var several []Point
	for _, q := range single {
		for _, d := range []float64{-0.01, 0, 0, 0.01} {
			r := q
			r.UVDensity, r.SD = q.UVDensity+d, 0.04
			several = append(several, r)
		}
	}
	a, b := mustFit(t, single, nil), mustFit(t, several, nil)
	for range 50 {
		c := anyColour(rng)
		uv, sd := a.UVDensity(c)
		uv2, sd2 := b.UVDensity(c)
		near(t, "UV density", uv2, uv, 0.002)
		near(t, "doubt", sd2, sd, 0.1*sd)
	}
}

// Where a printer never reverses, the model hardly does: a step of 16 code values
// in one channel may lose next to nothing.
func TestRisesWhereTheDataRise(t *testing.T) {
	t.Parallel()
	falls, steps, worst := 0, 0, 0.0
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 4250))
		p := newInvented(seed, 0)
		p.from = 2 // no black: more of a channel always stops more
		m := mustFit(t, p.read(chartOf(200), readingSD, rng), nil)
		for range 500 {
			c := anyColour(rng)
			k := rng.IntN(3)
			c[k] = math.Max(c[k], 16)
			d := c
			d[k] -= 16
			uv := m.UVDensities([]RGB{c, d})
			steps++
			if fall := uv[0] - uv[1]; fall > 0.003 {
				falls++
				worst = math.Max(worst, fall)
			}
		}
	}
	t.Logf("%d of %d steps fall, by %.4f at most", falls, steps, worst)
	if falls > steps/50 || worst > 0.02 {
		t.Errorf("%d of %d steps fall, by %.4f at most", falls, steps, worst)
	}
}
