package handout

import (
	"fmt"
	"slices"
	"strings"
)

// How many pictures stand side by side, and how high they may be.
const (
	mostShown    = 15
	gridGapMM    = 3.5
	nameMM       = 4.0 // line of a picture's name
	alonePrintMM = 62.0
	mostBeside   = 5
)

// planGrid lays out the prints to expect with their names, each row as low as its
// prints. Films beyond the last that there is room for are counted.
func (b *book) planGrid(films []Film, widthMM float64) box {
	g := grid{book: b, shown: films[:min(len(films), mostShown)]}
	g.perRow = perRow(len(g.shown))
	g.cellMM = (widthMM - gridGapMM*float64(g.perRow-1)) / float64(g.perRow)
	height := 0.0
	for row := range slices.Chunk(g.shown, g.perRow) {
		r := gridRow{row, height, b.highest(row, g.cellMM), b.captionMM(row, g.cellMM)}
		g.rows = append(g.rows, r)
		height += r.printMM + r.captionMM + gridGapMM
	}
	height = max(height-gridGapMM, 0)
	if n := len(films) - len(g.shown); n > 0 {
		g.more = fmt.Sprintf("and %d more", n)
		height += small.leadingMM()
	}
	return box{height, func(x, y float64) { g.draw(x, y, height) }}
}

// grid is the prints of a handout in rows.
type grid struct {
	book   *book
	shown  []Film
	perRow int
	cellMM float64 // width of a cell
	rows   []gridRow
	more   string
}

type gridRow struct {
	films              []Film
	topMM              float64 // below the grid's
	printMM, captionMM float64
}

func (g *grid) draw(x, y, heightMM float64) {
	for _, r := range g.rows {
		for i := range r.films {
			g.book.film(&r.films[i], x+float64(i)*(g.cellMM+gridGapMM), y+r.topMM, g.cellMM, r.printMM)
		}
	}
	if g.more != "" {
		g.book.pen.write(g.more, small, x, y+heightMM)
	}
}

func perRow(n int) int {
	switch {
	case n <= 3:
		return max(n, 1)
	case n <= 8:
		return 4
	}
	return mostBeside
}

// highest returns how high the highest print of a row is.
func (b *book) highest(films []Film, cellMM float64) float64 {
	high := 0.0
	for i := range films {
		_, h := films[i].inside(cellMM, min(cellMM, alonePrintMM))
		high = max(high, h)
	}
	return high
}

// inside returns the film's size shrunk to fit a cell.
func (f *Film) inside(cellW, cellH float64) (w, h float64) {
	scale := min(cellW/f.WidthMM, cellH/f.HeightMM)
	return f.WidthMM * scale, f.HeightMM * scale
}

// film draws one print to expect, standing on its caption.
func (b *book) film(f *Film, x, y, cellW, cellH float64) {
	w, h := f.inside(cellW, cellH)
	top := y + cellH - h
	if f.Print != nil {
		b.image(f.Print, x, top, w, h)
	} else if l := b.pen.wrap(say("print not known: no calibration", tiny), w-1); len(l) > 0 {
		for i, line := range l {
			if yy := top + 3 + float64(i)*tiny.leadingMM(); yy < top+h {
				b.pen.put(line, x+0.8, yy)
			}
		}
	}
	b.pen.frame(x, top, w, h, 0.15, 120)
	b.pen.write(b.pen.name(f.Name, small, cellW), small, x, y+cellH+3)
	for i, l := range b.captionLines(f, cellW) {
		b.pen.put(l, x, y+cellH+nameMM+tiny.leadingMM()*(float64(i)+0.75))
	}
}

// mostCaptionLines below a name; more sheets than they hold are left to the map.
const mostCaptionLines = 3

func (b *book) captionLines(f *Film, cellW float64) []line {
	lines := b.pen.wrap(say(f.caption(), tiny), cellW)
	return lines[:min(len(lines), mostCaptionLines)]
}

// captionMM is how high the captions of a grid are.
func (b *book) captionMM(films []Film, cellW float64) float64 {
	most := 1
	for i := range films {
		most = max(most, len(b.captionLines(&films[i], cellW)))
	}
	return nameMM + tiny.leadingMM()*float64(most)
}

// caption says size, copies and sheets.
func (f *Film) caption() string {
	parts := []string{sizeText(f.WidthMM, f.HeightMM)}
	if f.Copies > 1 {
		parts = append(parts, fmt.Sprintf("%d%scopies", f.Copies, keep))
	}
	if len(f.Sheets) > 0 {
		parts = append(parts, "sheet"+keep+numbers(f.Sheets))
	}
	return strings.Join(parts, ", ")
}

// mostNumbers of sheets are named.
const mostNumbers = 4

// numbers lists them: "1", "1 and 2", "1, 2, 3, 4 and others".
func numbers(list []int) string {
	var texts []string
	for _, n := range list[:min(len(list), mostNumbers)] {
		texts = append(texts, fmt.Sprint(n))
	}
	last := len(texts) - 1
	if len(list) > mostNumbers {
		last, texts = len(texts), append(texts, "others")
	}
	if last == 0 {
		return texts[0]
	}
	return strings.Join(texts[:last], ", ") + " and " + texts[last]
}
