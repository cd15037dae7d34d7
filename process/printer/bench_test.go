package printer

import (
	"math/rand/v2"
	"testing"
)

// largePoints is 2,000 colours read three times with 40 nuisance terms.
func largePoints() ([]Point, *Options) {
	rng := rand.New(rand.NewPCG(1, 1))
	p, cs := newInvented(1, 1), chartOf(2000)
	o := &Options{}
	for range 40 {
		o.TermSD = append(o.TermSD, 0.03)
	}
	var points []Point
	for k := range 3 {
		for _, q := range p.read(cs, readingSD, rng) {
			q.Terms = make([]float64, 40)
			for i := range 12 {
				q.Terms[13*k+i] = 2*rng.Float64() - 1
			}
			points = append(points, q)
		}
	}
	return points, o
}

func BenchmarkFitTwoThousandColours(b *testing.B) {
	points, o := largePoints()
	for b.Loop() {
		mustFit(b, points, o)
	}
}

func BenchmarkFitTwoHundredColours(b *testing.B) {
	points := newInvented(1, 1).read(chartOf(200), readingSD, rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		mustFit(b, points, nil)
	}
}

func BenchmarkPredictions(b *testing.B) {
	points, o := largePoints()
	m := mustFit(b, points, o)
	rng := rand.New(rand.NewPCG(1, 2))
	var cs []RGB
	for range 2500 {
		cs = append(cs, anyColour(rng))
	}
	b.Run("UVDensities of 1000", func(b *testing.B) {
		for b.Loop() {
			m.UVDensities(cs[:1000])
		}
	})
	b.Run("UVDensity", func(b *testing.B) {
		for b.Loop() {
			m.UVDensity(cs[0])
		}
	})
	b.Run("Covariance of 2500", func(b *testing.B) {
		for b.Loop() {
			m.Covariance(cs)
		}
	})
	b.Run("HeldOut", func(b *testing.B) {
		for b.Loop() {
			if _, err := m.HeldOut(10, 1); err != nil {
				b.Fatal(err)
			}
		}
	})
}
