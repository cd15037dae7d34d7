package scan

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// grey is a small picture of a plane: its roots, 0 to 1. A pixel of it is step
// pixels of the plane wide and high.
type grey struct {
	width, height int
	step          float64
	v             []float32
}

// mostBase is the longest side, in pixels, of the picture in which marks are
// looked for. Whole factors bring it down to two thirds of that at worst: a mark
// of 6 mm is then still 17 pixels wide on a bed of A3.
const mostBase = 1800

// reduce returns the plane with its longer side brought to at most longest
// pixels, by whole factors. What does not fill a pixel at the right and the
// bottom is left out.
func reduce(p *Plane, longest int) *grey {
	k := max(1, (max(p.Width, p.Height)+longest-1)/longest)
	g := &grey{width: p.Width / k, height: p.Height / k, step: float64(k)}
	g.v = make([]float32, g.width*g.height)
	each(g.height, func(y int) {
		sums := make([]uint64, g.width)
		for dy := range k {
			row := p.Root[(y*k+dy)*p.Width:][:g.width*k]
			for x := range sums {
				var sum uint64
				for _, v := range row[x*k : x*k+k] {
					sum += uint64(v)
				}
				sums[x] += sum
			}
		}
		scale := float32(1) / (65535 * float32(k) * float32(k))
		for x, sum := range sums {
			g.v[y*g.width+x] = float32(sum) * scale
		}
	})
	return g
}

// shrink returns g made smaller by a factor of 1 or more, each pixel the mean of
// the area it covers. The result may have no pixels.
func (g *grey) shrink(factor float64) *grey {
	s := &grey{width: int(float64(g.width) / factor), height: int(float64(g.height) / factor), step: g.step * factor}
	s.v = make([]float32, s.width*s.height)
	columns, rows := spans(s.width, factor, g.width), spans(s.height, factor, g.height)
	line := make([]float32, g.width)
	for y, span := range rows {
		clear(line)
		for i, weight := range span.weights {
			for x, v := range g.v[(span.first+i)*g.width:][:g.width] {
				line[x] += weight * v
			}
		}
		for x, span := range columns {
			var sum float32
			for i, weight := range span.weights {
				sum += weight * line[span.first+i]
			}
			s.v[y*s.width+x] = sum
		}
	}
	return s
}

// covered says which pixels one smaller pixel covers, and by which share.
type covered struct {
	first   int
	weights []float32
}

// spans returns what each of n smaller pixels covers of a row of length pixels.
func spans(n int, factor float64, length int) []covered {
	s := make([]covered, n)
	for i := range s {
		from, to := float64(i)*factor, float64(i+1)*factor
		s[i].first = int(from)
		for j := s[i].first; j < length && float64(j) < to; j++ {
			share := min(to, float64(j+1)) - max(from, float64(j))
			s[i].weights = append(s[i].weights, float32(share/factor))
		}
	}
	return s
}

// each calls do(i) for i in 0..n-1 on all cores and waits. Each i must write
// its own results only.
func each(n int, do func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
}
