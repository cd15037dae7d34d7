package printer

import (
	"math"
	"slices"
)

// ways are the ways over a lattice from clear film: the straight runs with the
// fewest turns, and of these the shortest, whose steps are no larger than most.
type ways struct {
	grid   *lattice
	order  []int   // of points, thin to dense
	within float64 // UV density up to which steps count
	most   float64 // largest step
	cost   []float64
	from   []int8 // move before the last one; -1 at the start
}

// turnCost makes one turn worse than any length, in code values.
const turnCost = 1e5

// The least step of a way, as a part of the largest: where one ink is traded for
// another, less might be a fall, because it is the difference of two that a model
// knows; where ink is only added it hardly can be (working values of ours).
const (
	leastTraded = 0.25
	leastAdded  = 0.03
)

// find finds the ways. A state is a point with the move that came to it.
func (w *ways) find() {
	n := len(w.grid.uv) * len(moves)
	w.cost, w.from = make([]float64, n), make([]int8, n)
	for i := range w.cost {
		w.cost[i] = math.Inf(1)
	}
	for _, at := range w.order {
		best, came := w.cheapest(at)
		if math.IsInf(best, 1) {
			continue
		}
		for m, move := range moves {
			w.relax(at, m, move, best, came)
		}
	}
}

// cheapest returns the least cost of a way to a point and its last move.
func (w *ways) cheapest(at int) (cost float64, move int8) {
	if at == 0 {
		return 0, -1
	}
	cost = math.Inf(1)
	for m := range moves {
		if c := w.cost[at*len(moves)+m]; c < cost {
			cost, move = c, int8(m)
		}
	}
	return cost, move
}

// relax goes on from a point by a move: straight on, or with a turn from the
// cheapest way there.
func (w *ways) relax(at, m int, move spot, best float64, came int8) {
	a := spotOf(at)
	b, inside := a.next(move)
	if !inside || !w.allowed(a, b) {
		return
	}
	cost := best
	if came >= 0 {
		cost += turnCost
	}
	if on := w.cost[at*len(moves)+m]; on < cost {
		cost, came = on, int8(m)
	}
	cost += distance(w.grid.rgb(a), w.grid.rgb(b))
	if to := b.index()*len(moves) + m; cost < w.cost[to] {
		w.cost[to], w.from[to] = cost, came
	}
}

// allowed says whether UV density rises along a move, by no more than it may.
func (w *ways) allowed(a, b spot) bool {
	step := w.grid.step(a, b)
	if w.grid.uv[a.index()] >= w.within {
		return step > 0
	}
	least, most := leastAdded, w.most
	for c := range a {
		if a[c] > b[c] {
			least = leastTraded
		}
		if a[c] != b[c] && w.foreign(c, max(a[c], b[c])) {
			most = w.most / foreignRisk
		}
	}
	return step >= least*w.most && step <= most
}

// A printer leaps where light inks give way to dark ones, by more than a chart of
// some hundred colours shows. The straight way to the ink colour passes such
// places in the channels that it uses; a way that goes farther in a channel
// passes more of them, so that its steps there are to be the smaller by
// foreignRisk. Down to lightCodes light inks print alone (working values of ours,
// found on virtual printers: with them no blend was worse than the straight way).
const (
	foreignRisk = 2.5
	lightCodes  = 225
)

// foreign says whether a channel goes farther than the straight way does, and
// farther than light inks print alone.
func (w *ways) foreign(channel, steps int) bool {
	l := w.grid
	return steps > l.to[channel] && l.code[channel][steps] < lightCodes
}

// turns returns how many turns the best way to a point takes, and how long it
// is; false where there is none.
func (w *ways) turns(at int) (n int, length float64, ok bool) {
	cost, _ := w.cheapest(at)
	if math.IsInf(cost, 1) {
		return 0, 0, false
	}
	n = int(cost / turnCost)
	return n, cost - float64(n)*turnCost, true
}

// trace returns the colours of the best way to a point: ends and turns.
func (w *ways) trace(at int) []RGB {
	way := []RGB{w.grid.rgb(spotOf(at))}
	_, m := w.cheapest(at)
	for at != 0 {
		before := w.from[at*len(moves)+int(m)]
		p, _ := spotOf(at).next(moves[m].back())
		if at = p.index(); before != m {
			way = append(way, w.grid.rgb(p))
		}
		m = before
	}
	slices.Reverse(way)
	return way
}

func (p spot) back() spot { return spot{-p[0], -p[1], -p[2]} }

// distance is that of two colours in code values.
func distance(a, b RGB) float64 {
	sum := 0.0
	for i := range a {
		sum += float64((a[i] - b[i]) * (a[i] - b[i]))
	}
	return math.Sqrt(sum)
}
