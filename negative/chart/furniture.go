package chart

// placeFurniture gives window, code and tape box their places at the foot of
// the inner part, and the rest to the patches. It reports whether all fit.
func (p *plan) placeFurniture() bool {
	room := p.inner
	if p.level.y < room.bottom() && p.level.length > 0 {
		room.h -= rulerDepthUM
	}
	beside, ok := p.placeWindow(room)
	if !ok || !p.placeTail(room, beside) {
		return false
	}
	p.field = box{room.x, room.y + apartUM, room.w, room.h - apartUM}
	if p.hasGrid() {
		p.field = box{room.x + rowNameUM, room.y + colNumberUM, room.w - rowNameUM, room.h - colNumberUM}
	}
	p.divideField()
	return p.field.w > 0 && p.field.h > 0
}

// divideField notes the parts of the field that patches may fill: all of it,
// around what stands there; what is above window, code and box; and what is
// beside a tall window.
func (p *plan) divideField() {
	whole := p.field
	above, beside := whole, whole
	for _, t := range p.taken {
		above.h = min(above.h, t.y-apartUM-above.y)
	}
	p.fields = append(p.fields, whole)
	if p.windowH > p.windowW {
		beside.w = p.window.x - windowRoomUM - apartUM - beside.x
		p.fields = append(p.fields, beside)
		above.h = min(above.h, p.tape.y-lineUM-apartUM-above.y)
	}
	p.fields = append(p.fields, above)
}

// hasGrid reports whether patches stand in rows and columns.
func (p *plan) hasGrid() bool { return p.kind != Tablet && p.kind != Exposure }

// placeWindow puts the tablet window into a corner of the room: a wide one to
// the left, a tall one to the right. beside is what it leaves free at the foot.
func (p *plan) placeWindow(room box) (beside box, ok bool) {
	if p.windowW == 0 {
		return room, true
	}
	w, h := p.windowW+2*windowRoomUM, p.windowH+2*windowRoomUM
	if w > room.w || h > room.h {
		return box{}, false
	}
	at := box{room.x, room.bottom() - h, w, h}
	beside = box{at.right() + apartUM, at.y, room.w - w - apartUM, h}
	if h > w {
		at.x = room.right() - w
		beside = box{room.x, at.y, room.w - w - apartUM, h}
	}
	p.window = at.grow(-windowRoomUM)
	p.take(at)
	return beside, true
}

func (p *plan) take(b box) { p.taken = append(p.taken, b) }

// codeUM is the side of the code's ink square.
func (p *plan) codeUM() int { return p.moduleUM() * (modules + 2*quietModules) }

func (p *plan) moduleUM() int {
	if p.small() {
		return smallModuleUM
	}
	return moduleUM
}

// placeTail puts code and tape box: side by side, or one above the other, into
// what is free beside the window; else above the window.
func (p *plan) placeTail(room, beside box) bool {
	c := p.codeUM()
	row := box{w: c + apartUM + tapeWideUM, h: max(c, tapeHighUM)}
	stack := box{w: max(c, tapeWideUM), h: c + apartUM + tapeHighUM}
	above := box{room.x, room.y, room.w, beside.y - apartUM - room.y}
	switch {
	case row.w <= beside.w && row.h <= beside.h:
		p.tailRow(beside, row)
	case stack.w <= beside.w && stack.h <= beside.h:
		p.setTail(box{beside.right() - c, beside.bottom() - c, c, c},
			beside.right()-stack.w, beside.bottom()-stack.h)
	case row.w <= above.w && row.h <= above.h:
		p.tailRow(above, row)
	default:
		return false
	}
	return true
}

func (p *plan) tailRow(in, row box) {
	c := p.codeUM()
	p.setTail(box{in.right() - c, in.bottom() - c, c, c}, in.right()-row.w, in.bottom()-tapeHighUM)
}

// setTail notes the code's square and the tape box with its label at x, y.
func (p *plan) setTail(code box, x, y int) {
	p.code = code
	p.tape = box{x + (tapeWideUM-tapeUM)/2, y + lineUM, tapeUM, tapeUM}
	p.take(code)
	p.take(box{x, y, tapeWideUM, tapeHighUM})
}

// codeBox is the square of the code's modules.
func (p *plan) codeBox() box { return p.code.grow(-quietModules * p.moduleUM()) }
