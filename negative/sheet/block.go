package sheet

import "strings"

// What surrounds a picture, in millimetres.
const (
	markBandMM    = 6.4 // above and below a picture with marks
	sideBandMM    = 5.5 // left and right of it, for the corner marks; less where film is short
	labelGapMM    = 1.2
	labelPt       = 7.0
	labelLineMM   = 3.0
	smallPt       = 6.0
	smallLineMM   = 2.5
	patchMM       = 6.0 // side of a check-strip patch
	leastPatchMM  = 3.0
	patchNumberMM = 2.8 // line of the numbers under a row of patches
	stripGapMM    = 1.5
	mostPatches   = 1000
)

// block is a picture with all that belongs to it, as it lies on the film, in
// millimetres from its own top-left corner. A turned picture is turned inside
// its block; text and marks stay upright.
type block struct {
	w, h    float64
	picture rect
	outer   rect // the picture with its edge
	strip   stripPlan
	label   []string
	labelY  float64 // top of the label
	missing []rune  // letters of the label that no font has
}

// stripPlan says where the patches of a check strip go.
type stripPlan struct {
	x, y    float64
	perRow  int
	rows    int
	patchMM float64
	note    []string // the instruction, wrapped
}

// height returns how much of the block the strip takes with its gap.
func (s stripPlan) height() float64 {
	if s.rows == 0 {
		return 0
	}
	return float64(s.rows)*(s.patchMM+patchNumberMM) + float64(len(s.note))*smallLineMM + stripGapMM
}

func (s stripPlan) width() float64 { return float64(s.perRow) * s.patchMM }

// newBlock lays out an item whose picture is widthMM x heightMM on the film in
// at most availMM of width, as far as its picture and edge leave a choice.
func newBlock(it Item, f *face, widthMM, heightMM, availMM float64, bare bool) block {
	if bare {
		r := rect{0, 0, widthMM, heightMM}
		return block{w: r.w, h: r.h, picture: r, outer: r}
	}
	edge := it.Edge.widthMM()
	outerW := widthMM + 2*edge
	side, band := 0.0, 0.0
	if it.Marks {
		band = markBandMM
		if side = min(sideBandMM, (availMM-outerW)/2); side < cornerFromMM+leastStrokeMM {
			side = 0 // too little for corner marks: leave it to the ruler
		}
	}
	b := block{strip: planStrip(it.Strip, f, outerW)}
	b.w = max(outerW+2*side, b.strip.width())
	b.outer = rect{(b.w - outerW) / 2, band, outerW, heightMM + 2*edge}
	b.picture = b.outer.grow(-edge)
	y := b.outer.bottom()
	b.strip.x = (b.w - b.strip.width()) / 2
	if b.strip.width() > registerRoom(outerW) {
		y += band // the strip goes below the marks, else between them
	}
	b.strip.y = y + stripGapMM
	y = max(y+b.strip.height(), b.outer.bottom()+band)
	b.label, b.missing = labelLines(it, f, max(outerW, b.strip.width()))
	b.labelY = y + labelGapMM
	b.h = b.labelY + float64(len(b.label))*labelLineMM
	return b
}

// planStrip puts the patches in rows under a picture. Five at least stay side
// by side, and so do the two that the instruction names.
func planStrip(s *Strip, f *face, widthMM float64) stripPlan {
	if s == nil {
		return stripPlan{}
	}
	n := len(s.Patches)
	perRow := min(n, max(5, s.Stop[1], int(widthMM/patchMM)))
	p := stripPlan{perRow: perRow, rows: (n + perRow - 1) / perRow}
	p.patchMM = max(leastPatchMM, min(patchMM, float64(int(widthMM/float64(perRow)))))
	p.note = f.wrap(s.instruction(), smallPt, max(widthMM, p.width()))
	return p
}

// instruction is the line under a check strip.
func (s *Strip) instruction() string {
	if s.Stop == [2]int{} {
		return ""
	}
	return "printing by inspection: stop when " + itoa(s.Stop[0]) + " and " + itoa(s.Stop[1]) + " merge"
}

// joinFilled joins the parts that are not empty.
func joinFilled(parts ...string) string {
	var filled []string
	for _, p := range parts {
		if p != "" {
			filled = append(filled, p)
		}
	}
	return strings.Join(filled, " · ")
}
