package handout

import (
	"fmt"
)

const (
	nextHeadMM  = 9.0 // head of a page that follows
	firstNameMM = 16.5
	boxWidthMM  = 66.0
	boxPadMM    = 2.6
	bandGapMM   = 3.0
	pageRoomMM  = 52.0 // of the page's number, at the right
)

// head is the top of a handout's first page: whose it is, the prints to expect,
// the exposure, and the short caution.
type head struct {
	heightMM float64
	draw     func(pages int)
}

func (b *book) planHead(h *Handout, n *notes) head {
	box := b.exposureBox(h, n)
	grid := b.planGrid(h.Films, b.widthMM()-boxWidthMM-gutterMM)
	bandMM := max(box.heightMM, grid.heightMM)
	caution := b.pen.wrap(say(h.Process.ShortCaution(), strong), b.widthMM()-2*boxPadMM)
	cautionMM := float64(len(caution))*strong.leadingMM() + 2*1.8
	band := marginMM + firstNameMM
	under := band + bandMM + bandGapMM
	return head{
		heightMM: under + cautionMM + bandGapMM + 1.5 - marginMM,
		draw: func(pages int) {
			b.firstNames(h, pages)
			grid.draw(marginMM, band)
			b.pen.panel(marginMM+b.widthMM()-boxWidthMM, band, boxWidthMM, bandMM)
			box.draw(marginMM+b.widthMM()-boxWidthMM, band)
			b.pen.frame(marginMM, under, b.widthMM(), cautionMM, 0.5, 0)
			for i, l := range caution {
				b.pen.put(l, marginMM+boxPadMM, under+1.8+strong.leadingMM()*float64(i)+strong.sizePt*mmPerPoint*0.92)
			}
		},
	}
}

// firstNames writes whose page it is.
func (b *book) firstNames(h *Handout, pages int) {
	room := b.widthMM() - pageRoomMM
	title, under := h.title()
	b.pen.write(b.pen.name(title, nameOnce, room), nameOnce, marginMM, marginMM+6.5)
	b.pen.write(b.pen.name(under, subtitle, b.widthMM()-pageRoomMM), subtitle, marginMM, marginMM+12.4)
	x := marginMM + b.widthMM()
	b.pen.right(pageText(1, pages), small, x, marginMM+6.5)
	b.pen.right(b.groupText(pageRoomMM-4), small, x, marginMM+12.4)
}

// title is whose page it is, and what stands under that.
func (h *Handout) title() (name, under string) {
	if h.Person != "" {
		return h.Person, h.Process.FullName
	}
	return h.Process.FullName, capital(h.Process.Mode)
}

// groupText is the class and the day.
func (b *book) groupText(widthMM float64) string {
	day := ""
	if !b.o.Date.IsZero() {
		day = b.o.Date.UTC().Format("2006-01-02")
	}
	if b.o.Title == "" {
		return day
	}
	if day != "" {
		day = ", " + day
	}
	return b.pen.nameAnd(b.o.Title, day, small, widthMM)
}

// nextHead is the head of a page that follows.
func (b *book) nextHead(h *Handout, page, pages int) {
	title, under := h.title()
	words := ""
	if h.Person != "" {
		words = " · " + under
	}
	b.pen.write(b.pen.nameAnd(title, words, nameNext, b.widthMM()-pageRoomMM), nameNext, marginMM, marginMM+4)
	b.pen.right(pageText(page, pages), small, marginMM+b.widthMM(), marginMM+4)
}

func pageText(page, pages int) string { return fmt.Sprintf("page %d of %d", page, pages) }

// box is a part of the head with its height.
type box struct {
	heightMM float64
	draw     func(x, y float64)
}

// exposureBox sets what to start from.
func (b *book) exposureBox(h *Handout, n *notes) box {
	c := &column{pen: b.pen, widthMM: boxWidthMM - 2*boxPadMM}
	c.paragraph("", say("Exposure to start from", heading), 0)
	c.gap(0.8)
	c.paragraph("", say(h.Exposure.Headline, b.headline(h.Exposure.Headline, c.widthMM)), 0)
	if h.Exposure.Figure != "" {
		c.gap(0.6)
		c.paragraph("", say(h.Exposure.Figure, second), 0)
	}
	for i, text := range h.Exposure.Text {
		c.gap(1.2)
		words := say(text, body)
		if i == 0 {
			words = n.cite(words, h.Exposure.Sources)
		}
		c.paragraph("", words, 0)
	}
	height := 2 * boxPadMM
	for _, r := range c.rows {
		height += r.gapMM + r.heightMM
	}
	return box{height, func(x, y float64) {
		y += boxPadMM
		for _, r := range c.rows {
			y += r.gapMM
			r.draw(x+boxPadMM, y)
			y += r.heightMM
		}
	}}
}

// headline is as large as the exposure fits in one line.
func (b *book) headline(text string, widthMM float64) style {
	s := figure
	for s.sizePt > second.sizePt && b.pen.width(text, s) > widthMM {
		s.sizePt--
	}
	return s
}
