package sheet

// piece is a rectangle to be packed, in micrometres, with the gap that it keeps
// right of it and below. A width of 0 means that it must not lie that way.
type piece struct{ upright, turned side2 }

type side2 struct{ w, h int }

// size returns how large the piece is, upright or turned.
func (p piece) size(turned bool) side2 {
	if turned {
		return p.turned
	}
	return p.upright
}

// bin is a sheet to pack pieces into, or a roll, whose h is the longest page.
type bin struct {
	w, h int
	roll bool
}

// spot is where a piece came to lie.
type spot struct {
	page, x, y int
	turned     bool
}

// segment is a level stretch of the skyline, which bounds what is filled.
type segment struct{ x, y, w int }

// filler packs pieces into pages from the top: always at the skyline's segment
// nearest the top, that piece which fits it best. After the best-fit heuristic
// of Burke, Kendall and Whitwell, "A New Placement Heuristic for the Orthogonal
// Stock-Cutting Problem", Operations Research 52 (2004); that pieces which leave
// the skyline level come first is after Leung, Zhang and Sim's scores, European
// Journal of Operational Research 215 (2011), both from memory.
type filler struct {
	bin    bin
	pieces []piece
	spots  []spot // of each piece
	sky    []segment
	left   []int // pieces not placed, in the order of preference
	lie    []bool
	page   int
}

func newFiller(b bin, pieces []piece) *filler {
	return &filler{bin: b, pieces: pieces, spots: make([]spot, len(pieces))}
}

// fill packs all pieces, preferring earlier ones where several fit as well, and
// returns what it cost; every piece must fit an empty page. turned says which
// way of each piece is tried first.
func (f *filler) fill(order []int, turned []bool) cost {
	f.left = append(f.left[:0], order...)
	f.lie = turned
	f.page = 0
	for {
		last := len(f.left)
		f.fillPage()
		if len(f.left) == 0 {
			return f.cost()
		}
		if len(f.left) == last {
			panic("sheet: a piece fits no page")
		}
		f.page++
	}
}

// fillPage packs what it can into an empty page.
func (f *filler) fillPage() {
	f.sky = append(f.sky[:0], segment{w: f.bin.w})
	for len(f.left) > 0 {
		i := f.lowest()
		at, c, ok := f.best(i)
		if ok {
			f.put(i, at, c)
			continue
		}
		if len(f.sky) == 1 {
			return
		}
		f.raise(i)
	}
}

// lowest returns the leftmost of the segments nearest the top of the page.
func (f *filler) lowest() int {
	low := 0
	for i, s := range f.sky {
		if s.y < f.sky[low].y {
			low = i
		}
	}
	return low
}

// walls returns how far the skyline stands out left and right of segment i; the
// page's own sides stand out to its end.
func (f *filler) walls(i int) (left, right int) {
	left, right = f.bin.h-f.sky[i].y, f.bin.h-f.sky[i].y
	if i > 0 {
		left = f.sky[i-1].y - f.sky[i].y
	}
	if i+1 < len(f.sky) {
		right = f.sky[i+1].y - f.sky[i].y
	}
	return left, right
}

// choice is a way to lay a piece onto a segment.
type choice struct {
	size    side2
	turned  bool
	atRight bool
	score   int
}

// best returns which of the pieces left, by its place among them, goes onto
// segment i and how.
func (f *filler) best(i int) (at int, c choice, ok bool) {
	s := f.sky[i]
	left, right := f.walls(i)
	least := f.narrowest()
	for k, n := range f.left {
		for _, turned := range [2]bool{f.lie[n], !f.lie[n]} {
			size := f.pieces[n].size(turned)
			if size.w == 0 || size.w > s.w || s.y+size.h > f.bin.h {
				continue
			}
			score, atRight := fitness(size, s.w, left, right)
			if score == 0 && s.w-size.w >= least {
				score = 1 // what is left of the segment can still be used
			}
			if !ok || score > c.score {
				at, c, ok = k, choice{size, turned, atRight, score}, true
			}
		}
	}
	return at, c, ok
}

// narrowest returns the least width of the pieces left.
func (f *filler) narrowest() int {
	least := f.bin.w
	for _, n := range f.left {
		for _, size := range [2]side2{f.pieces[n].upright, f.pieces[n].turned} {
			if size.w > 0 {
				least = min(least, size.w)
			}
		}
	}
	return least
}

// fitness says how level a piece leaves the skyline, and whether it is to lie
// at the right end of its segment.
func fitness(size side2, width, left, right int) (score int, atRight bool) {
	level := size.h == left || size.h == right
	switch {
	case size.w == width && size.h == left && left == right:
		return 5, false
	case size.w == width && level:
		return 4, false
	case size.w == width:
		return 3, false
	case size.h == left:
		return 2, false
	case size.h == right:
		return 2, true
	}
	return 0, right > left
}

// put lays piece at of those left onto segment i.
func (f *filler) put(i, at int, c choice) {
	n := f.left[at]
	f.left = append(f.left[:at], f.left[at+1:]...)
	s := f.sky[i]
	x := s.x
	if c.atRight {
		x = s.x + s.w - c.size.w
	}
	f.spots[n] = spot{f.page, x, s.y, c.turned}
	fresh := segment{x, s.y + c.size.h, c.size.w}
	switch {
	case c.size.w == s.w:
		f.sky[i] = fresh
	case c.atRight:
		f.sky[i].w -= c.size.w
		f.insert(i+1, fresh)
		i++
	default:
		f.sky[i].x += c.size.w
		f.sky[i].w -= c.size.w
		f.insert(i, fresh)
	}
	f.merge(i)
}

func (f *filler) insert(i int, s segment) {
	f.sky = append(f.sky, segment{})
	copy(f.sky[i+1:], f.sky[i:])
	f.sky[i] = s
}

// raise gives up a segment that takes no piece: it is lost up to the lower of
// its neighbours.
func (f *filler) raise(i int) {
	left, right := f.walls(i)
	if i == 0 {
		left = right
	}
	if i == len(f.sky)-1 {
		right = left
	}
	f.sky[i].y += min(left, right)
	f.merge(i)
}

// merge joins segment i with neighbours as high as it.
func (f *filler) merge(i int) {
	if i+1 < len(f.sky) && f.sky[i+1].y == f.sky[i].y {
		f.sky[i].w += f.sky[i+1].w
		f.sky = append(f.sky[:i+1], f.sky[i+2:]...)
	}
	if i > 0 && f.sky[i-1].y == f.sky[i].y {
		f.sky[i-1].w += f.sky[i].w
		f.sky = append(f.sky[:i], f.sky[i+1:]...)
	}
}

// cost is what a packing takes; the least is best.
type cost struct {
	pages int
	last  int // area of what lies on the last page, or its length on a roll
	waste int // area that the skyline of the last page encloses
}

func (c cost) less(d cost) bool {
	if c.pages != d.pages {
		return c.pages < d.pages
	}
	if c.last != d.last {
		return c.last < d.last
	}
	return c.waste < d.waste
}

// cost sums up what is packed.
func (f *filler) cost() cost {
	c := cost{pages: f.page + 1}
	end := 0
	for i, s := range f.spots {
		if s.page != f.page {
			continue
		}
		size := f.pieces[i].size(s.turned)
		end = max(end, s.y+size.h)
		c.last += size.w * size.h
	}
	if f.bin.roll {
		c.last = end
	}
	for _, s := range f.sky {
		c.waste += s.w * s.y
	}
	return c
}
