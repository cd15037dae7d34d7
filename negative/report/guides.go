package report

import (
	"image/color"
	"math"
	"sort"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// guideNameRoom is kept free above the plot for the names of guides.
const guideNameRoom = 22 * pixel

// guideLines draws guides: thin dotted lines. The names of those that run up
// and down stand above the plot; the others' lie on them, at the end where the
// strokes are farther off.
type guideLines struct {
	upright, level []Guide
	strokes        []stroke
	line           draw.LineStyle
	name           text.Style
}

func newGuideLines(guides []Guide, strokes []stroke) guideLines {
	g := guideLines{
		strokes: strokes,
		line:    draw.LineStyle{Color: guideColour, Width: 1.2 * pixel, Dashes: []vg.Length{2 * pixel, 3 * pixel}},
		name:    text.Style{Color: inkColour, Font: sans(14), Handler: plot.DefaultTextHandler, YAlign: text.YBottom},
	}
	for _, one := range guides {
		if math.IsNaN(one.X) {
			g.level = append(g.level, one)
		} else {
			g.upright = append(g.upright, one)
		}
	}
	sort.SliceStable(g.upright, func(i, j int) bool { return g.upright[i].X < g.upright[j].X })
	return g
}

// Plot draws the lines from edge to edge of the data area c.
func (g guideLines) Plot(c draw.Canvas, p *plot.Plot) {
	atX, atY := p.Transforms(&c)
	lefts := g.nameLefts(c, atX)
	for i, one := range g.upright {
		x := atX(one.X)
		c.StrokeLine2(g.line, x, c.Min.Y, x, c.Max.Y+3*pixel)
		c.FillText(g.name, vg.Point{X: lefts[i], Y: c.Max.Y + 5*pixel}, one.Name)
	}
	for _, one := range g.level {
		y := atY(one.Y)
		c.StrokeLine2(g.line, c.Min.X, y, c.Max.X, y)
		g.nameLevel(c, one, y)
	}
}

// nameLefts returns where the names of upright guides begin: centred over
// their lines, pushed apart where they would touch, and inside c.
func (g guideLines) nameLefts(c draw.Canvas, atX func(float64) vg.Length) []vg.Length {
	const gap = 10 * pixel
	lefts := make([]vg.Length, len(g.upright))
	free := c.Min.X
	for i, one := range g.upright {
		lefts[i] = max(atX(one.X)-g.name.Width(one.Name)/2, free)
		free = lefts[i] + g.name.Width(one.Name) + gap
	}
	limit := c.Max.X
	for i := len(lefts) - 1; i >= 0; i-- {
		width := g.name.Width(g.upright[i].Name)
		lefts[i] = min(lefts[i], limit-width)
		limit = lefts[i] - gap
	}
	return lefts
}

// nameLevel writes the name of a level guide at y on white, so that the grid
// does not cross it: over the line, or under it close to the top.
func (g guideLines) nameLevel(c draw.Canvas, one Guide, y vg.Length) {
	const gap, inset, height = 3 * pixel, 8 * pixel, 18 * pixel
	width := g.name.Width(one.Name)
	left := c.Min.X + inset
	if g.crowdedLeft(one.Y) {
		left = c.Max.X - inset - width
	}
	bottom := y + pixel
	if bottom+height > c.Max.Y {
		bottom = y - pixel - height
	}
	box := vg.Rectangle{
		Min: vg.Point{X: left - gap, Y: bottom},
		Max: vg.Point{X: left + width + gap, Y: bottom + height},
	}
	c.SetColor(color.White)
	c.Fill(box.Path())
	c.FillText(g.name, vg.Point{X: left, Y: bottom + gap}, one.Name)
}

// crowdedLeft reports whether the strokes come nearer to y at their left end
// than at their right.
func (g guideLines) crowdedLeft(y float64) bool {
	left, right := math.Inf(1), math.Inf(1)
	for _, s := range g.strokes {
		first, last := s.line.XYs[0], s.line.XYs[len(s.line.XYs)-1]
		left = min(left, math.Abs(first.Y-y))
		right = min(right, math.Abs(last.Y-y))
	}
	return left < right
}

// DataRange widens the axes so that the guides lie inside.
func (g guideLines) DataRange() (xmin, xmax, ymin, ymax float64) {
	xmin, xmax, ymin, ymax = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, one := range g.upright {
		xmin, xmax = min(xmin, one.X), max(xmax, one.X)
	}
	for _, one := range g.level {
		ymin, ymax = min(ymin, one.Y), max(ymax, one.Y)
	}
	return xmin, xmax, ymin, ymax
}
