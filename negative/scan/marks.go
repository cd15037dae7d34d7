package scan

import (
	"cmp"
	"math"
	"slices"

	"actinic/negative/chart"
)

// spot is a place that looks like a mark.
type spot struct {
	at     Point   // plane pixels
	radius float64 // plane pixels, to about 8 %
	like   float64 // correlation with a mark, 0 to 1
	light  bool    // ink prints lighter than clear film
}

// A picture is searched for marks of one size only, and made smaller step by
// step so that marks of every size come to it.
const (
	soughtRadius = 7.0                // pixels; the ring is two pixels wide then
	reach        = 8                  // pixels from the middle that are compared: some clear film all round
	stepDown     = 1.1892071150027210 // the fourth root of 2
	leastLike    = 0.55               // correlation of what may be a mark; working value of ours
	leastSwing   = 0.05               // root of Y between ink and clear; a tenth of a print of density 0.9
	mostSpots    = 80                 // a page has 30 marks at most; more is clutter
)

// pyramid holds a plane at falling sizes.
type pyramid struct{ levels []*grey }

// newPyramid makes the sizes at which a mark of soughtRadius is between one
// pixel and a sixth of the plane's longer side.
func newPyramid(p *Plane) *pyramid {
	base := reduce(p, mostBase)
	var factors []float64
	for f := 1.0; float64(max(base.width, base.height)) > 10*soughtRadius*f; f *= stepDown {
		factors = append(factors, f)
	}
	levels := make([]*grey, len(factors))
	each(len(factors), func(i int) {
		if levels[i] = base; i > 0 {
			levels[i] = base.shrink(factors[i])
		}
	})
	return &pyramid{levels}
}

// nearest returns the level in which a mark of so many plane pixels' radius
// comes nearest to soughtRadius, nil if there is none.
func (p *pyramid) nearest(radius float64) *grey {
	var best *grey
	for _, g := range p.levels {
		if best == nil || math.Abs(math.Log(radius/g.step/soughtRadius)) < math.Abs(math.Log(radius/best.step/soughtRadius)) {
			best = g
		}
	}
	return best
}

// findSpots returns what looks like a mark anywhere at any size, best first.
func (p *pyramid) findSpots() []spot {
	found := make([][]spot, len(p.levels))
	each(len(found), func(i int) { found[i] = spotsOf(p.levels[i]) })
	all := slices.Concat(found...)
	slices.SortStableFunc(all, func(a, b spot) int { return cmp.Compare(b.like, a.like) })
	var kept []spot
	for _, s := range all {
		near := func(k spot) bool {
			return math.Hypot(k.at.X-s.at.X, k.at.Y-s.at.Y) < 0.5*max(k.radius, s.radius)
		}
		if !slices.ContainsFunc(kept, near) {
			if kept = append(kept, s); len(kept) == mostSpots {
				break
			}
		}
	}
	return kept
}

// spotsOf returns the spots of one size.
func spotsOf(g *grey) []spot {
	shape := markShape()
	test := quickTest(g.width)
	var spots []spot
	for y := reach; y < g.height-reach; y++ {
		for x := reach; x < g.width-reach; x++ {
			if !test.passes(g.v, y*g.width+x) {
				continue
			}
			like := g.like(shape, x, y)
			if math.Abs(like) < leastLike {
				continue
			}
			spots = append(spots, spot{
				at:     Point{(float64(x) + 0.5) * g.step, (float64(y) + 0.5) * g.step},
				radius: soughtRadius * g.step, like: math.Abs(like), light: like > 0,
			})
		}
	}
	return spots
}

// quick is a test of a few pixels about a place that nearly all places fail.
type quick struct {
	ring, rim, around [8]int // offsets into the picture
}

func quickTest(width int) *quick {
	circle := func(share float64) (offsets [8]int) {
		for i := range offsets {
			sin, cos := math.Sincos(float64(i) * math.Pi / 4)
			dx, dy := math.Round(share*soughtRadius*cos), math.Round(share*soughtRadius*sin)
			offsets[i] = int(dy)*width + int(dx)
		}
		return offsets
	}
	return &quick{ring: circle((chart.MarkDot + chart.MarkRing) / 2), rim: circle((chart.MarkRing + 1) / 2), around: circle(1.16)}
}

// passes reports whether dot and rim are both lighter, or both darker, than the
// ring, and the rim than what lies around it.
func (q *quick) passes(v []float32, i int) bool {
	ring := (v[i+q.ring[0]] + v[i+q.ring[2]] + v[i+q.ring[4]] + v[i+q.ring[6]]) / 4
	dot := v[i] - ring
	if dot < leastSwing && dot > -leastSwing {
		return false
	}
	return sameSide(dot, meanOf(v, i, &q.rim)-meanOf(v, i, &q.ring)) &&
		sameSide(dot, meanOf(v, i, &q.rim)-meanOf(v, i, &q.around))
}

func sameSide(a, b float32) bool {
	return a > 0 && b > leastSwing || a < 0 && b < -leastSwing
}

func meanOf(v []float32, i int, offsets *[8]int) float32 {
	var sum float32
	for _, o := range offsets {
		sum += v[i+o]
	}
	return sum / 8
}

// shapeRow is one row of a mark's shape about its centre.
type shapeRow struct {
	dy, from int
	ink      []float32
}

// markShape returns a mark of soughtRadius as the share of ink in each pixel,
// its mean taken off and its length 1.
func markShape() []shapeRow {
	var rows []shapeRow
	var sum, count float64
	for dy := -reach; dy <= reach; dy++ {
		half := int(math.Sqrt(float64(reach*reach + reach - dy*dy)))
		row := shapeRow{dy: dy, from: -half}
		for dx := -half; dx <= half; dx++ {
			ink := inkShare(float64(dx), float64(dy), soughtRadius)
			sum, count = sum+ink, count+1
			row.ink = append(row.ink, float32(ink))
		}
		rows = append(rows, row)
	}
	var length float64
	for _, row := range rows {
		for i := range row.ink {
			row.ink[i] -= float32(sum / count)
			length += float64(row.ink[i] * row.ink[i])
		}
	}
	for _, row := range rows {
		for i := range row.ink {
			row.ink[i] /= float32(math.Sqrt(length))
		}
	}
	return rows
}

// inkShare returns how much of a pixel about a place, from a mark's centre, is ink.
func inkShare(x, y, radius float64) float64 {
	const fine = 8
	inked := 0
	for i := range fine {
		for j := range fine {
			sx, sy := x+(float64(i)+0.5)/fine-0.5, y+(float64(j)+0.5)/fine-0.5
			if r := math.Hypot(sx, sy) / radius; r < chart.MarkDot || r >= chart.MarkRing && r < 1 {
				inked++
			}
		}
	}
	return float64(inked) / (fine * fine)
}

// like returns the correlation of the picture about a pixel with a mark, -1 to
// 1: positive where ink prints light. The shape must lie within the picture.
func (g *grey) like(shape []shapeRow, x, y int) float64 {
	var match, sum, squares float32
	n := 0
	for _, row := range shape {
		v := g.v[(y+row.dy)*g.width+x+row.from:][:len(row.ink)]
		for i, ink := range row.ink {
			match += ink * v[i]
			sum += v[i]
			squares += v[i] * v[i]
		}
		n += len(v)
	}
	spread := float64(squares) - float64(sum)*float64(sum)/float64(n)
	if spread < 1e-3 { // flat: a swing of leastSwing makes far more
		return 0
	}
	return float64(match) / math.Sqrt(spread)
}
