package chart

import (
	"regexp"
	"slices"

	"actinic/negative/letters"
)

// drawing gathers what a page shows.
type drawing struct {
	grid        grid
	channels    int
	page        *Page
	full, clear []uint16
	shapes      []shape
}

// draw puts down all of a page: what the chart says, and what follows from it.
func (d *drawing) draw(c *Chart, page int) {
	for i := range d.page.Patches {
		q := &d.page.Patches[i]
		d.fill(q.Rect.box(), d.codes(q.device()))
	}
	for _, m := range d.page.Marks {
		d.mark(m)
	}
	d.code()
	if b := d.page.OpaqueBox; b != nil {
		d.frame(b.box())
		d.text("TAPE", b.box().x+(b.box().w-4*letters.Width*letterUM)/2, b.box().bottom()+lineUM+gapUM)
	}
	if w := d.page.TabletWindow; w != nil {
		d.cornerTicks(w.box())
	}
	if p, ok := d.page.plan(c.Kind); ok {
		d.surround(c, page, p)
	}
}

// plan returns the plan that the page was made with. The corner mark tells the
// margin. It reports false for a page that none of ours looks like.
func (p *Page) plan(kind Kind) (*plan, bool) {
	f := form{kind: kind, w: um(p.WidthMM), h: um(p.HeightMM)}
	for _, m := range p.Marks {
		if m.ID == "tl" {
			f.margin = um(m.XMM) - um(m.DiameterMM)*13/10/2
		}
	}
	if w := p.TabletWindow; w != nil {
		f.windowW, f.windowH = um(w.WidthMM), um(w.HeightMM)
	}
	if f.margin < 0 {
		return nil, false
	}
	return newPlan(f)
}

// surround draws what stands around the patches.
func (d *drawing) surround(c *Chart, page int, p *plan) {
	d.ruler(p.level)
	d.ruler(p.upright)
	d.texts(c, page, p)
	if p.hasGrid() {
		d.names(p)
	}
	if c.Kind == Exposure {
		d.strip(c)
	}
}

func (d *drawing) fill(b box, codes []uint16) {
	if s := d.grid.span(b); s.x1 > s.x0 && s.y1 > s.y0 {
		d.shapes = append(d.shapes, &filled{s, codes, len(d.shapes)})
	}
}

func (d *drawing) mark(m Mark) {
	r := d.grid.fine(um(m.DiameterMM)) / 2
	d.shapes = append(d.shapes, &ringed{x: d.grid.fine(um(m.XMM)), y: d.grid.fine(um(m.YMM)),
		dot: r * 4 / 10, ring: r * 7 / 10, edge: r, codes: d.full, clear: d.clear, order: len(d.shapes)}) // MarkDot, MarkRing
}

// code draws the dark modules as clear film, which prints dark.
func (d *drawing) code() {
	b := d.page.CodeBox
	if b == nil || d.page.Code == "" {
		return
	}
	at := b.box()
	d.fill(at.grow(quietModules*at.w/modules), d.full)
	for y, line := range symbol(d.page.Code) {
		for x, dark := range line {
			if dark {
				x0, y0 := at.x+at.w*x/modules, at.y+at.h*y/modules
				d.fill(box{x0, y0, at.x + at.w*(x+1)/modules - x0, at.y + at.h*(y+1)/modules - y0}, d.clear)
			}
		}
	}
}

// frame draws a line just outside a box.
func (d *drawing) frame(b box) {
	o := b.grow(lineUM)
	d.fill(box{o.x, o.y, o.w, lineUM}, d.full)
	d.fill(box{o.x, b.bottom(), o.w, lineUM}, d.full)
	d.fill(box{o.x, o.y, lineUM, o.h}, d.full)
	d.fill(box{b.right(), o.y, lineUM, o.h}, d.full)
}

// tickUM is the length of a corner tick of the tablet window.
const tickUM = 4000

// cornerTicks draws an angle outside each corner of the window.
func (d *drawing) cornerTicks(b box) {
	o := b.grow(windowRoomUM - gapUM)
	for _, x := range []int{o.x, o.right() - tickUM} {
		for _, y := range []int{o.y, o.bottom() - lineUM} {
			d.fill(box{x, y, tickUM, lineUM}, d.full)
		}
	}
	for _, x := range []int{o.x, o.right() - lineUM} {
		for _, y := range []int{o.y, o.bottom() - tickUM} {
			d.fill(box{x, y, lineUM, tickUM}, d.full)
		}
	}
}

// text writes a line, its capitals from y down, its left at x.
func (d *drawing) text(text string, x, y int) {
	d.put(letters.Line(text), x, y-letters.CapTop*letterUM)
}

// put draws a mask with its top left at x, y, if the page holds it.
func (d *drawing) put(m letters.Mask, x, y int) {
	at := box{x, y, m.Width * letterUM, m.Height * letterUM}
	s := d.grid.span(at)
	if m.Width == 0 || s.x1 <= s.x0 || s.y1 <= s.y0 {
		return
	}
	d.shapes = append(d.shapes, &lettered{s, m, d.full, len(d.shapes)})
}

// textWidth is how wide a line of text is.
func textWidth(text string) int { return len([]rune(text)) * letters.Width * letterUM }

// capUM is the height of capitals and figures.
const capUM = (letters.Baseline - letters.CapTop) * letterUM

// cellID takes a patch's name apart: page, row letters, column number.
var cellID = regexp.MustCompile(`^(?:[0-9]{1,2}-)?([A-Z]{1,3})([0-9]{1,4})$`)

// names writes row letters beside the patches and column numbers above them.
func (d *drawing) names(p *plan) {
	rows, cols := map[string]bool{}, map[string]bool{}
	for _, q := range d.page.Patches {
		id := cellID.FindStringSubmatch(q.ID)
		if id == nil {
			continue
		}
		b := q.Rect.box()
		if !rows[id[1]] {
			rows[id[1]] = true
			d.name(p, id[1], p.field.x-gapUM-textWidth(id[1]), b.y+(b.h-capUM)/2)
		}
		if !cols[id[2]] {
			cols[id[2]] = true
			d.name(p, id[2], b.x+(b.w-textWidth(id[2]))/2, p.field.y-gapUM-capUM)
		}
	}
}

// name writes a row's or a column's name, unless it would stand in the tablet
// window or on code or box: the rows before it tell it then.
func (d *drawing) name(p *plan, text string, x, y int) {
	at := box{x, y, textWidth(text), capUM}
	if !slices.ContainsFunc(p.taken, at.meets) {
		d.text(text, x, y)
	}
}
