package chart

import (
	"fmt"
	"slices"
	"strings"

	"actinic/negative/letters"
)

// texts says what the page is, which way the film lies and what to mind: in the
// stretch at the top as much as it holds, the rest in the one at the foot.
func (d *drawing) texts(c *Chart, page int, p *plan) {
	rest := d.fillText(sentences(c, page), p.text)
	d.fillText(rest, p.caution)
}

// sentence is a text in a long and shorter forms; the first that fits is used.
type sentence []string

// sentences are what a page says, the most telling first: what does not fit the
// film is left out.
func sentences(c *Chart, page int) []sentence {
	p := &c.Pages[page]
	full := c.fullInk(page)
	name := fmt.Sprintf("%s %s", strings.ToUpper(string(c.Kind)), p.Code)
	if n := len(c.Pages); n > 1 {
		name += fmt.Sprintf(" %d/%d", page+1, n)
	}
	ink := fmt.Sprintf("ink %g,%g,%g seed %d", full[0], full[1], full[2], c.Seed)
	film := fmt.Sprintf("film %gx%g mm %g ppi", p.WidthMM, p.HeightMM, p.PPI)
	side := sentence{"reads right from the ink side", "reads right: ink side"}
	if c.Mirrored {
		side = sentence{"reads right from above: ink side down", "ink side down"}
	}
	all := []sentence{
		{name + "  " + ink + "  " + film, name},
		{ink + "  " + film, ink},
		side,
		{"UV light: protect eyes and skin", "UV: protect eyes"},
		{film},
	}
	if c.Kind == Exposure {
		all = slices.Insert(all, 2, sentence{"cover the strip area by area from the top; leave the marks open",
			"cover from the top; leave marks open", "leave marks open"})
	}
	return all
}

// lineStepUM is from one line of text to the next, descendUM what letters reach
// below it.
const (
	lineStepUM = 14 * letterUM
	descendUM  = (letters.Height - letters.Baseline) * letterUM
)

// fillText writes sentences into a box, a line each, in the middle of its
// height, and returns those that found no room. What a longer line has said
// already is not said again.
func (d *drawing) fillText(all []sentence, in box) (rest []sentence) {
	columns := in.w / (letters.Width * letterUM)
	most := max(0, (in.h-capUM-descendUM)/lineStepUM+1)
	var lines []string
	for _, s := range all {
		line, ok := s.within(columns)
		switch {
		case ok && said(lines, line):
		case ok && len(lines) < most:
			lines = append(lines, line)
		default:
			rest = append(rest, s)
		}
	}
	y := in.y + (in.h-capUM-(len(lines)-1)*lineStepUM)/2
	for i, line := range lines {
		d.text(line, in.x, y+i*lineStepUM)
	}
	return rest
}

// within returns the longest form of at most so many letters.
func (s sentence) within(columns int) (string, bool) {
	for _, form := range s {
		if len([]rune(form)) <= columns {
			return form, true
		}
	}
	return "", false
}

func said(lines []string, text string) bool {
	for _, l := range lines {
		if strings.Contains(l, text) {
			return true
		}
	}
	return false
}
