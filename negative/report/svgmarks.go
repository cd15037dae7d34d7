package report

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// point is a place on the drawing, in pixels.
type point struct{ x, y float64 }

// track returns a line's places with those left out that lie within a sixth of a
// pixel of the rest.
func (d *drawing) track(xs, ys []float64) []point {
	all := make([]point, len(xs))
	for i := range xs {
		all[i] = point{d.atX(xs[i]), d.atY(ys[i])}
	}
	return thinned(all, 1.0/6)
}

// thinned keeps of a line what it takes to stay within a distance of all of it
// (Douglas and Peucker 1973).
func thinned(all []point, within float64) []point {
	if len(all) < 3 {
		return all
	}
	first, last := all[0], all[len(all)-1]
	worst, at := -1.0, 0
	for i := 1; i < len(all)-1; i++ {
		if off := distance(all[i], first, last); off > worst {
			worst, at = off, i
		}
	}
	if worst <= within {
		return []point{first, last}
	}
	left := thinned(all[:at+1], within)
	return append(left[:len(left)-1:len(left)-1], thinned(all[at:], within)...)
}

// distance is that of p from the straight line between two places.
func distance(p, a, b point) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	length := math.Hypot(dx, dy)
	if length == 0 {
		return math.Hypot(p.x-a.x, p.y-a.y)
	}
	return math.Abs(float64(dx*(p.y-a.y))-float64(dy*(p.x-a.x))) / length
}

// path writes places as a path.
func path(all []point) string {
	var b strings.Builder
	for i, p := range all {
		b.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + px(p.x) + " " + px(p.y))
	}
	return b.String()
}

func (d *drawing) line(class string, s Series) {
	d.put(`<path class="%s" d="%s"/>`, class, path(d.track(s.X, s.Y)))
}

// band fills the doubt about a line; its thin edge shows it to whom the tint does
// not.
func (d *drawing) band(i int, s Series) {
	if s.Low == nil {
		return
	}
	edge := d.track(s.X, s.High)
	low := d.track(s.X, s.Low)
	for j := len(low) - 1; j >= 0; j-- {
		edge = append(edge, low[j])
	}
	d.put(`<path class="band c%d" d="%sZ"/>`, i%len(lineColours), path(edge))
}

// shapes tell sets of readings apart without colour: ring, triangle, square,
// diamond; each a path from its middle.
var shapes = []string{
	"m-3.5 0a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0-7 0",
	"m0-4.2l3.8 6.6h-7.6z",
	"m-3.1-3.1h6.2v6.2h-6.2z",
	"m0-4.4l4.4 4.4l-4.4 4.4l-4.4-4.4z",
}

const crossShape = "m-4-4l8 8m0-8l-8 8"

// manyPoints is from where on readings are drawn as a cloud of dots: their marks
// could not be told apart, and would make a page of megabytes.
const manyPoints = 1500

func (d *drawing) points(sets []Points) {
	number := 0
	for _, set := range sets {
		if len(set.X) == 0 {
			continue
		}
		class, shape := markOf(set, number)
		if !set.Spoiled {
			number++
		}
		d.put(`<path class="%s" d="%s"/>`, class, d.marks(set, shape))
	}
}

// cloudShape stands for a dot of a cloud where one is shown alone.
const cloudShape = "h0"

// markOf is the class and the shape of a set's marks; number counts the sets before
// it that are not spoiled.
func markOf(set Points, number int) (class, shape string) {
	class, shape = "point", shapes[number%len(shapes)]
	if set.Spoiled {
		class, shape = "spoiled", crossShape
	}
	if len(set.X) > manyPoints {
		return class + " cloud", cloudShape
	}
	return class, shape
}

// marks writes the marks of a set, one at each place.
func (d *drawing) marks(set Points, shape string) string {
	places := make([]point, len(set.X))
	for i := range places {
		places[i] = point{d.atX(set.X[i]), d.atY(set.Y[i])}
	}
	if shape == cloudShape {
		return cloud(places)
	}
	var b strings.Builder
	seen := map[string]bool{}
	for _, p := range places {
		at := "M" + px(p.x) + " " + px(p.y)
		if !seen[at] {
			seen[at] = true
			b.WriteString(at + shape)
		}
	}
	return b.String()
}

// cloud sets places to whole pixels and draws those that touch in a row as one
// stroke.
func cloud(places []point) string {
	for i, p := range places {
		places[i] = point{math.Round(p.x), math.Round(p.y)}
	}
	slices.SortFunc(places, func(a, b point) int { return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.x, b.x)) })
	var b strings.Builder
	for i := 0; i < len(places); {
		last := i
		for last+1 < len(places) && places[last+1].y == places[i].y && places[last+1].x-places[last].x <= 2 {
			last++
		}
		b.WriteString("M" + px(places[i].x) + " " + px(places[i].y) + "h" + px(places[last].x-places[i].x))
		i = last + 1
	}
	return b.String()
}
