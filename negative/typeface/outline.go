package typeface

import (
	"fmt"
	"math"
	"strings"

	"github.com/go-text/typesetting/font"
	ot "github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/shaping"
)

// How far letters may reach above and below the line, in units of the em. More
// makes the whole line smaller (working values of ours; letters with one mark of
// most scripts stay below them).
const (
	mostAscent  = unitsPerEM * 13 / 10
	mostDescent = unitsPerEM * 5 / 10
)

// outliner draws glyphs one after the other as a PDF path, y upwards.
type outliner struct {
	path        strings.Builder
	x           float64 // where the next glyph stands
	top, bottom float64 // of all that was drawn
	at          point
}

type point struct{ x, y float64 }

func (o *outliner) add(out *shaping.Output) {
	unit := unitsPerEM / float64(out.Face.Upem())
	for _, g := range out.Glyphs {
		at := point{o.x + inUnits(int(g.XOffset)), inUnits(int(g.YOffset))}
		if shape, ok := out.Face.GlyphDataOutline(g.GlyphID); ok {
			o.glyph(shape, at, unit)
		}
		o.x += inUnits(int(g.Advance))
	}
}

// inUnits turns 26.6 fixed-point into numbers.
func inUnits(v int) float64 { return float64(v) / 64 }

// glyph adds an outline. PDF has cubic curves only; a quadratic one is the cubic
// whose arms are two thirds of its own (exactly).
func (o *outliner) glyph(shape font.GlyphOutline, origin point, unit float64) {
	open := false
	for _, s := range shape.Segments {
		var p [3]point
		for i, a := range s.Args {
			p[i] = point{origin.x + float64(float64(a.X)*unit), origin.y + float64(float64(a.Y)*unit)}
		}
		switch s.Op {
		case ot.SegmentOpMoveTo:
			if open {
				o.path.WriteString("h\n")
			}
			open = true
			o.operator("m", p[0])
		case ot.SegmentOpLineTo:
			o.operator("l", p[0])
		case ot.SegmentOpQuadTo:
			o.operator("c", between(o.at, p[0]), between(p[1], p[0]), p[1])
		case ot.SegmentOpCubeTo:
			o.operator("c", p[0], p[1], p[2])
		}
	}
	if open {
		o.path.WriteString("h\n")
	}
}

// between returns the point two thirds of the way from a to b.
func between(a, b point) point {
	return point{a.x + float64((b.x-a.x)*2)/3, a.y + float64((b.y-a.y)*2)/3}
}

func (o *outliner) operator(op string, points ...point) {
	for _, p := range points {
		o.top, o.bottom = max(o.top, p.y), min(o.bottom, p.y)
		fmt.Fprintf(&o.path, "%d %d ", int(math.Round(p.x)), int(math.Round(p.y)))
	}
	o.path.WriteString(op + "\n")
	o.at = points[len(points)-1]
}

// scale is how much smaller letters must be to stay in their line.
func (o *outliner) scale() float64 {
	return min(1, mostAscent/max(o.top, 1), mostDescent/max(-o.bottom, 1))
}
