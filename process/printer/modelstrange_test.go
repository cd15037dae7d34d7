package printer

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/fault"
)

func same(c RGB, uv float64, n int) (out []Point) {
	for range n {
		out = append(out, number(c, uv, 0.02))
	}
	return out
}

func manyColours(n int) (out []Point) {
	for i := range n {
		out = append(out, number(RGB{float64(i % 250), float64(i / 250), 0}, 1, 0.02))
	}
	return out
}

// Whatever comes, there is a model with finite answers or an error in words.
func TestStrangeReadings(t *testing.T) {
	t.Parallel()
	chart := newInvented(3, 0).read(chartOf(40), 0.01, rand.New(rand.NewPCG(3, 1)))
	change := func(f func(i int, p *Point)) []Point {
		out := append([]Point(nil), chart...)
		for i := range out {
			f(i, &out[i])
		}
		return out
	}
	bound := func(p *Point, least, most float64) {
		p.UVDensity, p.SD, p.AtLeast, p.AtMost = math.NaN(), 0, least, most
	}
	for _, test := range []struct {
		name   string
		points []Point
		terms  []float64
		fails  bool
	}{
		{"none", nil, nil, true},
		{"one colour", same(RGB{}, 1, 1), nil, true},
		{"hundreds of one colour", same(RGB{}, 1, 500), nil, true},
		{"a hundred thousand of six colours", slices.Concat(chart[1:7], same(RGB{}, 1, 99_990)), nil, false},
		{"too many points", same(RGB{}, 1, 100_001), nil, true},
		{"too many colours", manyColours(10_001), nil, true},
		{"clear film only", same(Clear, 0, 300), nil, true},
		{"five colours", chart[1:6], nil, true},
		{"six colours", chart[1:7], nil, false},
		{"bounds only", change(func(_ int, p *Point) { bound(p, 1, math.NaN()) }), nil, true},
		{"neither number nor bound", change(func(_ int, p *Point) { bound(p, math.NaN(), math.NaN()) }), nil, true},
		{"bounds crossed", change(func(i int, p *Point) {
			if i == 20 {
				bound(p, 2, 1)
			}
		}), nil, true},
		{"bounds that contradict the rest", change(func(i int, p *Point) {
			if i%4 == 3 {
				bound(p, 15, math.NaN())
			}
		}), nil, false},
		{"bounds on both sides", change(func(i int, p *Point) {
			if i%2 == 1 {
				bound(p, p.UVDensity-0.1, p.UVDensity+0.1)
			}
		}), nil, false},
		{"no clear film", chart[1:], nil, false},
		{"all alike", change(func(_ int, p *Point) { p.UVDensity = 0.5 }), nil, false},
		{"all zero", change(func(_ int, p *Point) { p.UVDensity = 0 }), nil, false},
		{"all below zero", change(func(_ int, p *Point) { p.UVDensity = -0.3 }), nil, false},
		{"contradicting repeats", append(change(func(_ int, p *Point) { p.UVDensity += 1 }), chart...), nil, false},
		{"tiny doubts", change(func(_ int, p *Point) { p.SD = 1e-300 }), nil, false},
		{"doubts far apart", change(func(i int, p *Point) { p.SD = math.Pow(10, float64(i%12)-6) }), nil, false},
		{"terms nobody reads", chart, []float64{1e6, 1e-9, 1}, false},
		{"terms like each other", change(func(_ int, p *Point) { p.Terms = []float64{1, 1, 1e6} }), []float64{1e6, 1e6, 1e6}, false},
		{"wrong colour", change(func(_ int, p *Point) { p.RGB[1] = 256 }), nil, true},
		{"not a number", change(func(_ int, p *Point) { p.RGB[1] = math.NaN() }), nil, true},
		{"infinite", change(func(_ int, p *Point) { p.UVDensity = math.Inf(1) }), nil, true},
		{"shared doubt below zero", change(func(_ int, p *Point) { p.Shared = -1 }), nil, true},
		{"no doubt", change(func(_ int, p *Point) { p.SD = 0 }), nil, true},
		{"terms missing", change(func(_ int, p *Point) { p.Terms = []float64{1} }), nil, true},
	} {
		t.Run(test.name, func(t *testing.T) {
			m, err := Fit(test.points, &Options{TermSD: test.terms})
			if test.fails {
				if f := (*fault.Error)(nil); !errors.As(err, &f) || f.What == "" {
					t.Fatalf("got %v, want a fault", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			allFinite(t, m)
		})
	}
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// allFinite asks a model everything.
func allFinite(t fataler, m *Model) {
	t.Helper()
	cs := []RGB{Clear, {}, {255, 0, 0}, {10, 20, 30}, {254.9, 255, 255}, {-5, 300, 128}}
	fast, cov := m.UVDensities(cs), m.Covariance(cs)
	for i, c := range cs {
		uv, sd := m.UVDensity(c)
		for _, v := range []float64{uv, sd, fast[i], cov.At(i, i)} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Fatalf("%v stops %g +- %g", c, uv, sd)
			}
		}
	}
	held, err := m.HeldOut(3, 1)
	if err != nil {
		t.Fatalf("held out: %v", err)
	}
	for _, h := range held {
		if v := h.Measured + h.MeasuredSD + h.Predicted + h.PredictedSD; math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("held out: %+v", h)
		}
	}
}

func TestAnyReadings(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		terms := rapid.IntRange(0, 3).Draw(t, "terms")
		var points []Point
		for range rapid.IntRange(1, 25).Draw(t, "points") {
			points = append(points, anyPoint(rng, terms))
		}
		o := &Options{}
		for range terms {
			o.TermSD = append(o.TermSD, math.Exp(3*rng.NormFloat64()))
		}
		m, err := Fit(points, o)
		if f := (*fault.Error)(nil); err != nil && !errors.As(err, &f) {
			t.Fatalf("not a fault: %v", err)
		}
		if err == nil {
			allFinite(t, m)
		}
	})
}

func anyPoint(rng *rand.Rand, terms int) Point {
	c := RGB{float64(rng.IntN(4) * 85), float64(rng.IntN(4) * 85), float64(rng.IntN(4) * 85)}
	p := number(c, 2*rng.NormFloat64(), math.Exp(4*rng.NormFloat64()-4))
	if rng.IntN(4) == 0 {
		p.UVDensity, p.AtLeast = math.NaN(), p.UVDensity
	}
	if rng.IntN(6) == 0 {
		p.UVDensity, p.AtMost = math.NaN(), 4*rng.Float64()+8
	}
	if terms > 0 && rng.IntN(3) > 0 {
		p.Terms = make([]float64, terms)
		for k := range p.Terms {
			p.Terms[k] = rng.NormFloat64()
		}
	}
	return p
}
