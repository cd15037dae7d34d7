package handout

// row is one line of a column, or a rule: what a page break may not cut.
type row struct {
	gapMM    float64 // above it, but at the top of a column
	heightMM float64
	keep     bool // stays with the next one
	draw     func(x, y float64)
}

// column gathers rows of one width.
type column struct {
	pen     *pen
	widthMM float64
	rows    []row
	nextMM  float64 // gap above the next row
}

// gap asks for room above what follows.
func (c *column) gap(mm float64) { c.nextMM = max(c.nextMM, mm) }

func (c *column) add(r row) {
	r.gapMM = c.nextMM
	c.nextMM = 0
	c.rows = append(c.rows, r)
}

// heading starts a section. It stays with what follows.
func (c *column) heading(text string) {
	c.gap(sectionGapMM)
	h := heading.leadingMM() + 1.4
	c.add(row{heightMM: h, keep: true, draw: func(x, y float64) {
		c.pen.rule(x, y, c.widthMM, 0.35, 0)
		c.pen.write(text, heading, x, y+1.2+heading.sizePt*mmPerPoint*0.85)
	}})
	c.gap(0.6)
}

const (
	sectionGapMM = 3.0
	itemGapMM    = 0.75
	indentMM     = 3.9
)

// paragraph sets words, indented behind a lead such as a bullet. A page break
// leaves two lines on each side of it.
func (c *column) paragraph(lead string, words []word, indent float64) {
	if len(words) == 0 {
		return
	}
	for i := range words {
		words[i].sizePt *= c.pen.tight
	}
	s := words[0].style
	lines := c.pen.wrap(words, c.widthMM-indent)
	for i, l := range lines {
		c.add(row{
			heightMM: s.leadingMM(),
			keep:     i == 0 && len(lines) > 1 || i == len(lines)-2,
			draw: func(x, y float64) {
				base := y + s.sizePt*mmPerPoint*0.92
				if i == 0 && lead != "" {
					c.pen.write(lead, style{sizePt: s.sizePt}, x, base)
				}
				c.pen.put(l, x+indent, base)
			},
		})
	}
}

// item is a paragraph with a bullet or a number before it.
func (c *column) item(lead string, words []word) {
	c.gap(itemGapMM)
	c.paragraph(lead, words, indentMM)
}

const bullet = "•"
