package report

import (
	"math"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/plot"
)

// place finds the edges of the plot: room for the names of the upright axis and of
// upright guides above, for tick labels at the left.
func (d *drawing) place(f Figure) {
	labels := 0
	for _, t := range d.ticksY() {
		labels = max(labels, utf8.RuneCountInString(t.Label))
	}
	d.left = math.Ceil(float64(digitWidth*float64(labels)) + 12)
	d.right = d.size.width - 12
	above := 6 + lineHeight*float64(len(wrapped(f.Y.Label, d.size.width)))
	d.top = above + lineHeight*float64(d.guideRows(f.Guides)) + 6
	d.bottom = d.top + d.size.height - 60
}

func (d *drawing) ticksX() []plot.Tick {
	return ticks(d.x0, d.x1, tickStep((d.x1-d.x0)/float64(d.size.ticks)))
}

func (d *drawing) ticksY() []plot.Tick {
	return ticks(d.y0, d.y1, tickStep((d.y1-d.y0)/8))
}

// axes draws grid, frame, ticks and the names of the axes. The upright axis has its
// name above it: it reads without turning one's head, and takes no width.
func (d *drawing) axes(f Figure) {
	d.gridX()
	var grid strings.Builder
	for _, t := range d.ticksY() {
		y := d.atY(t.Value)
		grid.WriteString("M" + px(d.left) + " " + px(y) + "H" + px(d.right))
		d.text("", d.left-7, y+4.5, "end", t.Label)
	}
	d.put(`<path class="grid" d="%s"/>`, grid.String())
	d.put(`<path class="frame" d="M%s %sV%sH%s"/>`, px(d.left), px(d.top), px(d.bottom), px(d.right))
	for i, line := range wrapped(f.Y.Label, d.size.width) {
		d.text("label", 0, 14+float64(lineHeight*i), "start", line)
	}
	d.labelX(f.X.Label)
}

// gridX draws the upright lines of the grid and their ticks.
func (d *drawing) gridX() {
	var grid strings.Builder
	for _, t := range d.ticksX() {
		x := d.atX(t.Value)
		grid.WriteString("M" + px(x) + " " + px(d.top) + "V" + px(d.bottom))
		d.text("", x, d.bottom+18, "middle", t.Label)
	}
	d.put(`<path class="grid" d="%s"/>`, grid.String())
}

func (d *drawing) labelX(label string) {
	for i, line := range wrapped(label, d.size.width) {
		d.text("label", d.right, d.bottom+20+float64(lineHeight*(i+1)), "end", line)
	}
}

// text adds letters; anchor is start, middle or end, y their foot.
func (d *drawing) text(class string, x, y float64, anchor, text string) {
	if class != "" {
		class = ` class="` + class + `"`
	}
	if anchor != "start" {
		class += ` text-anchor="` + anchor + `"`
	}
	d.put(`<text%s x="%s" y="%s">%s</text>`, class, px(x), px(y), escaped(text))
}

// widthOf is about as wide as text will be.
func widthOf(text string) float64 {
	return float64(letterWidth * float64(utf8.RuneCountInString(text)))
}

// wrapped breaks text at spaces into lines of about a width.
func wrapped(text string, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && widthOf(line+" "+word) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
