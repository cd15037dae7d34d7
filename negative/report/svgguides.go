package report

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// box is the room that a name takes.
type box struct{ left, right, top, bottom float64 }

func (b box) meets(o box) bool {
	return b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom
}

// upright are the guides that run up and down, from the left; level the others,
// from below.
func upright(all []Guide) []Guide {
	out := slices.DeleteFunc(slices.Clone(all), func(g Guide) bool { return math.IsNaN(g.X) })
	slices.SortStableFunc(out, func(a, b Guide) int { return cmp.Compare(a.X, b.X) })
	return out
}

func level(all []Guide) []Guide {
	out := slices.DeleteFunc(slices.Clone(all), func(g Guide) bool { return !math.IsNaN(g.X) })
	slices.SortStableFunc(out, func(a, b Guide) int { return cmp.Compare(a.Y, b.Y) })
	return out
}

// nameAt is where the name of an upright guide stands: its middle, and the row
// above the plot, from 0 up, in which it touches no other.
type nameAt struct {
	guide  Guide
	middle float64
	row    int
}

// uprightNames finds a place for the name of each upright guide.
func (d *drawing) uprightNames(all []Guide) []nameAt {
	var out []nameAt
	var free []float64 // of each row, from where on
	for _, g := range upright(all) {
		half := widthOf(g.Name) / 2
		n := nameAt{guide: g, middle: max(half, min(d.atX(g.X), d.size.width-half))}
		for n.row < len(free) && free[n.row] > n.middle-half {
			n.row++
		}
		if n.row == len(free) {
			free = append(free, 0)
		}
		free[n.row] = n.middle + half + 10
		out = append(out, n)
	}
	return out
}

// guideRows is how many rows of names stand above the plot.
func (d *drawing) guideRows(all []Guide) int {
	rows := 0
	for _, n := range d.uprightNames(all) {
		rows = max(rows, n.row+1)
	}
	return rows
}

// guides draws the lines of guides.
func (d *drawing) guides(f Figure) {
	var b strings.Builder
	for _, n := range d.uprightNames(f.Guides) {
		b.WriteString("M" + px(d.atX(n.guide.X)) + " " + px(d.top-4-float64(lineHeight*n.row)) + "V" + px(d.bottom))
	}
	for _, g := range level(f.Guides) {
		b.WriteString("M" + px(d.left) + " " + px(d.atY(g.Y)) + "H" + px(d.right))
	}
	if b.Len() > 0 {
		d.put(`<path class="guide" d="%s"/>`, b.String())
	}
}

// guideNames writes the names of guides: of upright ones above the plot, of level
// ones along their lines.
func (d *drawing) guideNames(f Figure) {
	for _, n := range d.uprightNames(f.Guides) {
		d.text("halo", n.middle, d.top-8-float64(lineHeight*n.row), "middle", n.guide.Name)
	}
	for _, g := range level(f.Guides) {
		d.nameLevel(g, f)
	}
}

// nameLevel writes the name of a level guide where it covers least: at the end where
// the lines are farther off, over the guide, else elsewhere.
func (d *drawing) nameLevel(g Guide, f Figure) {
	y, width := d.atY(g.Y), widthOf(g.Name)
	first, second := d.left+8, d.right-8-width
	if crowdedLeft(g.Y, f.Series) {
		first, second = second, first
	}
	over, under := y-5, y+15
	if over-13 < d.top {
		over, under = under, over
	}
	var chosen box
	least := math.Inf(1)
	for _, at := range []point{{first, over}, {second, over}, {first, under}, {second, under}} {
		b := box{at.x, at.x + width, at.y - 13, at.y + 4}
		if c := d.covered(b, f); c < least {
			chosen, least = b, c
		}
	}
	d.taken = append(d.taken, chosen)
	d.text("halo", chosen.left, chosen.bottom-4, "start", g.Name)
}

// covered says how bad it is to write into a box: readings count one each, another
// name more than all of these.
func (d *drawing) covered(b box, f Figure) float64 {
	sum := 0.0
	if slices.ContainsFunc(d.taken, b.meets) {
		sum = 1e6
	}
	for _, set := range f.Points {
		for i := range set.X {
			x, y := d.atX(set.X[i]), d.atY(set.Y[i])
			if b.meets(box{x - 4, x + 4, y - 4, y + 4}) {
				sum++
			}
		}
	}
	return sum
}

// crowdedLeft reports whether the lines come nearer to y at their left end than at
// their right.
func crowdedLeft(y float64, lines []Series) bool {
	left, right := math.Inf(1), math.Inf(1)
	for _, s := range lines {
		left = min(left, math.Abs(s.Y[0]-y))
		right = min(right, math.Abs(s.Y[len(s.Y)-1]-y))
	}
	return left < right
}
