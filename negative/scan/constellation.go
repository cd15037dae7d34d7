package scan

import (
	"cmp"
	"math"
	"slices"

	"actinic/negative/chart"
)

// pose is a guess at how a page lies in the plane.
type pose struct {
	marks []chart.Mark // the page's
	to    Affine
	light bool // ink prints lighter than clear film
	seen  []pin
	like  float64 // sum over the spots that fit
}

// How far a spot may lie from where its mark should be. Working values of ours:
// paper shrinks by up to 2 % more one way than the other, and curls by 1 mm.
const (
	slackMM     = 1.5
	slackShare  = 0.025 // of the way from the two marks that a guess stands on
	settledMM   = 2.0   // once the straight-line map is known
	sizeSlack   = 1.2   // ratio of a mark's size to that of the map
	leastBaseMM = 35    // way between two marks that a guess may stand on
	pairedSpots = 40    // best spots of which pairs are tried
	pairedMarks = 32    // marks of which pairs are tried
	mostPoses   = 300   // guesses kept to be worked out
)

// findPoses returns the distinct ways in which the marks can lie on the spots,
// the one with the most marks first.
func findPoses(spots []spot, marks []chart.Mark) []pose {
	var poses []pose
	for _, light := range []bool{true, false} {
		same := make([]spot, 0, len(spots))
		for _, s := range spots {
			if s.light == light {
				same = append(same, s)
			}
		}
		for _, g := range guesses(same, marks) {
			q := pose{marks: marks, to: g.to, light: light}
			if q.settle(same, g.roomMM); len(q.seen) >= 2 && q.to.plausible() {
				poses = append(poses, q)
			}
		}
	}
	slices.SortStableFunc(poses, func(a, b pose) int { return cmp.Compare(b.like, a.like) })
	return distinct(poses)
}

// guess is a map through two spots and how well it does.
type guess struct {
	to   Affine
	base [2]chart.Mark
	like float64
}

// guesses tries every pair of spots on every pair of marks, from both sides, and
// returns the best.
func guesses(spots []spot, marks []chart.Mark) []guess {
	var all []guess
	paired, few := spots[:min(len(spots), pairedSpots)], marks[:min(len(marks), pairedMarks)]
	for i := range paired {
		for j := range paired {
			if i == j || !alike(paired[i].radius, paired[j].radius, sizeSlack) {
				continue
			}
			all = append(all, pairGuesses(spots, marks, paired[i], paired[j], few)...)
			if len(all) > 4*mostPoses {
				all = bestGuesses(all)
			}
		}
	}
	return bestGuesses(all)
}

func bestGuesses(all []guess) []guess {
	slices.SortStableFunc(all, func(a, b guess) int { return cmp.Compare(b.like, a.like) })
	return all[:min(len(all), mostPoses)]
}

// pairGuesses returns the maps that lay any two of few marks on two spots and
// fit their size.
func pairGuesses(spots []spot, marks []chart.Mark, p, q spot, few []chart.Mark) []guess {
	var all []guess
	away := math.Hypot(q.at.X-p.at.X, q.at.Y-p.at.Y)
	for a, m := range few {
		for _, n := range few[a+1:] {
			baseMM := math.Hypot(n.XMM-m.XMM, n.YMM-m.YMM)
			if baseMM < leastBaseMM || !alike(away/baseMM*m.DiameterMM/2, (p.radius+q.radius)/2, sizeSlack) {
				continue
			}
			for _, side := range []float64{1, -1} {
				g := guess{to: throughPair(m, n, p.at, q.at, side), base: [2]chart.Mark{m, n}}
				g.like = g.rate(spots, marks)
				all = append(all, g)
			}
		}
	}
	return all
}

// alike reports whether two sizes agree within a ratio.
func alike(a, b, ratio float64) bool { return a < b*ratio && b < a*ratio }

// throughPair returns the map without stretch that lays mark m on p and n on q;
// side -1 has the page mirrored.
func throughPair(m, n chart.Mark, p, q Point, side float64) Affine {
	// As complex numbers, q - p = turn · (n - m), the page's x times side first.
	mx, nx := side*m.XMM, side*n.XMM
	dx, dy := nx-mx, n.YMM-m.YMM
	ux, uy := q.X-p.X, q.Y-p.Y
	length := float64(dx*dx) + float64(dy*dy)
	c, s := (float64(ux*dx)+float64(uy*dy))/length, (float64(uy*dx)-float64(ux*dy))/length
	a := Affine{XX: c * side, XY: -s, YX: s * side, YY: c}
	a.X0 = p.X - float64(a.XX*m.XMM) - float64(a.XY*m.YMM)
	a.Y0 = p.Y - float64(a.YX*m.XMM) - float64(a.YY*m.YMM)
	return a
}

// rate returns how well marks fall on spots: the sum of the likenesses found,
// with the room that a map through two marks needs.
func (g *guess) rate(spots []spot, marks []chart.Mark) float64 {
	var sum float64
	scale := g.to.scale()
	for _, m := range marks {
		if i := nearestSpot(spots, g.to.ToPlane(m.XMM, m.YMM), scale*g.roomMM(m), scale*m.DiameterMM/2); i >= 0 {
			sum += spots[i].like
		}
	}
	return sum
}

// roomMM returns how far from its place a mark may be seen.
func (g *guess) roomMM(m chart.Mark) float64 {
	a, b := g.base[0], g.base[1]
	return slackMM + slackShare*min(math.Hypot(m.XMM-a.XMM, m.YMM-a.YMM), math.Hypot(m.XMM-b.XMM, m.YMM-b.YMM))
}

// nearestSpot returns the spot of about that radius nearest to a place, -1 if
// there is none within so many pixels.
func nearestSpot(spots []spot, at Point, within, radius float64) int {
	best, least := -1, float64(within*within)
	for i := range spots {
		dx, dy := spots[i].at.X-at.X, spots[i].at.Y-at.Y
		if d := float64(dx*dx) + float64(dy*dy); d <= least && alike(spots[i].radius, radius, sizeSlack) {
			best, least = i, d
		}
	}
	return best
}

// settle takes the spots that fit the pose and fits it to them, until the same
// spots fit: within roomMM of their places at first, and within less once the
// map stands on more than two marks.
func (q *pose) settle(spots []spot, roomMM func(chart.Mark) float64) {
	for range 4 {
		q.take(spots, roomMM)
		to, ok := fitAffine(q.seen)
		if !ok || !to.plausible() || to.mirrored() != q.to.mirrored() {
			return
		}
		q.to, roomMM = to, func(chart.Mark) float64 { return settledMM }
	}
	q.take(spots, roomMM)
}

// take notes the spots that fit. Each spot is one mark at most, since marks lie
// farther apart than the room given.
func (q *pose) take(spots []spot, roomMM func(chart.Mark) float64) {
	q.seen, q.like = nil, 0
	scale := q.to.scale()
	for _, m := range q.marks {
		if i := nearestSpot(spots, q.to.ToPlane(m.XMM, m.YMM), scale*roomMM(m), scale*m.DiameterMM/2); i >= 0 {
			q.seen = append(q.seen, pin{page: Point{m.XMM, m.YMM}, at: spots[i].at})
			q.like += spots[i].like
		}
	}
}

// distinct returns the poses that differ in more than a nudge, in order.
func distinct(poses []pose) []pose {
	var kept []pose
	for _, q := range poses {
		same := func(k pose) bool { return k.light == q.light && k.to.near(q.to, q.marks) }
		if !slices.ContainsFunc(kept, same) {
			kept = append(kept, q)
		}
	}
	return kept
}

// near reports whether two maps lay all marks within a mark's width.
func (a Affine) near(b Affine, marks []chart.Mark) bool {
	for _, m := range marks {
		p, q := a.ToPlane(m.XMM, m.YMM), b.ToPlane(m.XMM, m.YMM)
		if math.Hypot(p.X-q.X, p.Y-q.Y) > a.scale()*m.DiameterMM {
			return false
		}
	}
	return true
}
