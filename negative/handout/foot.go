package handout

import "actinic/process/recipe"

// planFoot breaks the standing caution into lines.
func (b *book) planFoot() []line {
	return b.pen.wrap(say(recipe.StandingCaution(), small), b.widthMM())
}

// footTop is where the foot begins.
func (b *book) footTop() float64 {
	return b.o.Paper.HeightMM - bottomMM - float64(len(b.foot))*small.leadingMM() - footRuleMM
}

const footRuleMM = 1.6 // from the rule to the first line

// drawFoot puts the standing caution under a page.
func (b *book) drawFoot() {
	y := b.footTop()
	b.pen.rule(marginMM, y, b.widthMM(), 0.35, 0)
	y += footRuleMM + small.sizePt*mmPerPoint*0.8
	for _, l := range b.foot {
		b.pen.put(l, marginMM, y)
		y += small.leadingMM()
	}
}
