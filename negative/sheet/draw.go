package sheet

// Marks around a picture, in millimetres.
const (
	cornerFromMM  = 1.0 // where a corner mark begins, outside the edge
	cornerToMM    = 5.0
	leastStrokeMM = 0.5 // a shorter stroke of a corner mark is left out
	registerMM    = 3.2 // of a registration mark's centre, outside the edge
	circleMM      = 1.5 // its circle's radius
	crossMM       = 2.4 // half its cross
)

// drawPage draws all of a page.
func drawPage(c *canvas, p *Page, bare bool) {
	c.page(p.HeightMM, func() {
		drawCuts(c, p.cuts)
		for _, pl := range p.Placements {
			c.within(pl.corner, func() { drawBlock(c, pl, bare || pl.Item.Chart) })
		}
		if p.bare {
			return
		}
		for _, r := range p.rulers {
			drawRuler(c, r)
		}
		foot := point{c.film.MarginMM, p.HeightMM - c.film.MarginMM - p.footer.h}
		for _, l := range p.footer.lines {
			c.text(l.text, smallPt, foot.x+l.x, foot.y+l.y, alignLeft)
		}
	})
}

// drawBlock draws a picture and what belongs to it, from the block's corner.
func drawBlock(c *canvas, p Placement, bare bool) {
	it, b := p.Item, p.block
	if !bare {
		drawEdge(c, it.Edge, b.outer)
	}
	pic := c.placeholder(it)
	c.picture(pic.number, b.picture, p.Turned)
	if bare {
		return
	}
	if it.Marks {
		drawCorners(c, b.picture, it.Edge.widthMM())
		drawRegister(c, b.outer)
	}
	if it.Strip != nil {
		drawStrip(c, it, b.strip, pic.form)
	}
	for i, line := range b.label {
		c.text(line, labelPt, b.outer.x, b.labelY+labelLineMM*(float64(i)+0.8), alignLeft)
	}
}

// drawEdge draws what surrounds the picture; the picture then covers the inside
// of an opaque edge, so that no seam of clear film is left between the two.
func drawEdge(c *canvas, e Edge, outer rect) {
	switch e.Kind {
	case EdgeOpaque:
		c.fill(outer, e.Device)
	case EdgeKeyline:
		c.pen(keylineMM)
		c.frame(outer)
	}
}

// drawCorners draws two strokes at each corner, in line with the picture's
// sides. Strokes left and right are as long as the block has room for.
func drawCorners(c *canvas, pic rect, edgeMM float64) {
	c.pen(lineMM)
	from, to := edgeMM+cornerFromMM, edgeMM+cornerToMM
	for _, x := range []float64{pic.x, pic.right()} {
		c.line(x, pic.y-from, x, pic.y-to)
		c.line(x, pic.bottom()+from, x, pic.bottom()+to)
	}
	side := min(to, pic.x-0.1)
	if side-from < leastStrokeMM {
		return
	}
	for _, y := range []float64{pic.y, pic.bottom()} {
		c.line(pic.x-from, y, pic.x-side, y)
		c.line(pic.right()+from, y, pic.right()+side, y)
	}
}

// registerAt returns where along a side of widthMM the registration marks stand:
// near both ends, or in the middle of a short one.
func registerAt(widthMM float64) []float64 {
	if widthMM*3/4 < 3*crossMM {
		return []float64{widthMM / 2}
	}
	return []float64{widthMM / 8, widthMM * 7 / 8}
}

// registerRoom returns the clear width between two registration marks.
func registerRoom(widthMM float64) float64 { return widthMM*3/4 - 2*(crossMM+cornerFromMM) }

// drawRegister draws a cross in a circle above and below the picture. Printings
// laid over each other are lined up on them.
func drawRegister(c *canvas, outer rect) {
	c.pen(lineMM)
	for _, y := range []float64{outer.y - registerMM, outer.bottom() + registerMM} {
		for _, along := range registerAt(outer.w) {
			x := outer.x + along
			c.circle(x, y, circleMM)
			c.line(x-crossMM, y, x+crossMM, y)
			c.line(x, y-crossMM, x, y+crossMM)
		}
	}
}

// drawStrip draws the patches as pictures in the negative's own form, so that
// they take the same way through the printer, their numbers, the instruction.
func drawStrip(c *canvas, it Item, s stripPlan, form *imageForm) {
	const numberPt = 6
	y := s.y
	for first := 0; first < len(it.Strip.Patches); first += s.perRow {
		row := it.Strip.Patches[first:min(first+s.perRow, len(it.Strip.Patches))]
		r := rect{s.x, y, s.patchMM * float64(len(row)), s.patchMM}
		c.image(c.register(stripJob(row, s.patchMM, form)), r)
		c.pen(lineMM)
		for i := 1; i < len(row); i++ { // where patches meet, for those as clear as the film
			x := s.x + s.patchMM*float64(i)
			c.line(x, r.bottom()+0.3, x, r.bottom()+1.1)
		}
		for i := range row {
			c.text(itoa(first+i+1), numberPt, s.x+s.patchMM*(float64(i)+0.5), r.bottom()+2.1, alignCentre)
		}
		y = r.bottom() + patchNumberMM
	}
	for i, line := range s.note {
		c.text(line, smallPt, s.x, y+smallLineMM*(float64(i)+0.8), alignLeft)
	}
}

// drawRuler draws ticks at each millimetre of a ruler, longer at 5 mm and 10
// mm, and a number in centimetres at each long one.
func drawRuler(c *canvas, r ruler) {
	c.pen(lineMM)
	n := int(r.lengthMM)
	for mm := 0; mm <= n; mm++ {
		along, depth := float64(mm), tickMM
		switch {
		case mm%10 == 0:
			depth = tickCmMM
		case mm%5 == 0:
			depth = tick5MM
		}
		if r.upright {
			c.line(r.x, r.y+along, r.x+depth, r.y+along)
		} else {
			c.line(r.x+along, r.y, r.x+along, r.y+depth)
		}
		if mm%10 == 0 && !r.bare {
			drawRulerNumber(c, r, along, mm/10)
		}
	}
	half := lineMM / 2 // the base line ends flush with the outer sides of the end ticks
	if r.upright {
		c.line(r.x, r.y-half, r.x, r.y+r.lengthMM+half)
	} else {
		c.line(r.x-half, r.y, r.x+r.lengthMM+half, r.y)
	}
}

func drawRulerNumber(c *canvas, r ruler, along float64, cm int) {
	const sizePt = 5
	s := itoa(cm)
	if cm == int(r.lengthMM)/10 && !r.upright {
		s += " cm"
	}
	if r.upright {
		c.text(s, sizePt, r.x+tickCmMM+0.3, r.y+along+0.6, alignLeft)
		return
	}
	c.text(s, sizePt, r.x+along, r.y+tickCmMM+1.8, alignCentre)
}
