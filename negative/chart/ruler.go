package chart

import (
	"fmt"

	"actinic/negative/letters"
)

// ruler draws a scale: a line with ticks each 5 mm, longer each 10, the ends
// marked by the longest, and its length beside it.
func (d *drawing) ruler(r ruler) {
	if r.length == 0 {
		return
	}
	along := func(at, thick, deep int) {
		b := box{r.x + at - thick/2, r.y, thick, deep}
		if r.upright {
			b = box{r.x, r.y + at - thick/2, deep, thick}
		}
		d.fill(b, d.full)
	}
	for at := 0; at <= r.length; at += 5 * umPerMM {
		switch {
		case at == 0 || at == r.length:
			along(at, rulerLineUM, 3400)
		case at%(10*umPerMM) == 0:
			along(at, rulerLineUM, 2200)
		default:
			along(at, rulerLineUM, 1400)
		}
	}
	label := fmt.Sprintf("%d mm", r.length/umPerMM)
	m, middle := letters.Line(label), (r.length-textWidth(label))/2
	if r.upright {
		d.fill(box{r.x, r.y - rulerLineUM/2, rulerLineUM, r.length + rulerLineUM}, d.full)
		d.put(m.Turned(), r.x+2600-2*letterUM, r.y+middle)
		return
	}
	d.fill(box{r.x - rulerLineUM/2, r.y, r.length + rulerLineUM, rulerLineUM}, d.full)
	d.text(label, r.x+middle, r.y+2800)
}

// rulerLineUM is the thickness of a ruler's ticks; a length is measured from
// the middle of one to the middle of another.
const rulerLineUM = 300
