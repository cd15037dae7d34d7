package handout

import (
	"fmt"
	"strconv"
	"strings"

	"actinic/process/recipe"
)

// quantities says what to measure out for each size. A material that comes
// coated has no such section.
func (h *Handout) quantities(c *column, n *notes) {
	if len(h.Coatings) == 0 && h.NoQuantities == "" {
		return
	}
	c.heading("Measure out")
	if len(h.Coatings) == 0 {
		c.paragraph("", say(capital(h.NoQuantities)+".", body), 0)
		for _, s := range h.Process.Sensitiser {
			c.item(bullet, n.cite(say(s.Text, body), s.Sources))
		}
		return
	}
	h.basis(c, n)
	for _, k := range h.Coatings {
		c.gap(1.6)
		c.paragraph("", say(fmt.Sprintf("%s, %s", sizeText(k.WidthMM, k.HeightMM), count(k.Prints, "print")), strong), 0)
		c.rows[len(c.rows)-1].keep = true
		for _, l := range k.Lines {
			c.paragraph(bullet, n.cite(lineWords(l, len(k.Layers) > 1), l.Sources), indentMM)
		}
	}
}

// basis says how the quantities were worked out: it is the same for all sizes.
func (h *Handout) basis(c *column, n *notes) {
	k := h.Coatings[0]
	c.paragraph("", say("For each print, over the area of the picture itself: add what you brush beyond it. Recipe: "+k.Recipe.Name+".", body), 0)
	for _, l := range k.Layers {
		text := fmt.Sprintf("%s: %s ml for a square metre and coat, %s", capital(l.Layer), figure3(l.MLPerM2), count(l.Coats, "coat"))
		if l.Text != "" {
			text += " (" + l.Text + ")"
		}
		c.item(bullet, n.cite(say(text+".", body), l.Sources))
	}
	if k.LossFraction > 0 {
		text := fmt.Sprintf("%s %% for what stays in the brush is in it.", trimmed(100*k.LossFraction))
		c.item(bullet, n.cite(say(text, body), k.LossSources))
	}
	if fewest := h.fewestDrops(); fewest >= 0 {
		text := trimmed(k.DropsPerML) + " drops to the millilitre; count yours."
		if fewest < fewDrops {
			text += " So few are a rough measure: mix for several prints together."
		}
		c.item(bullet, n.cite(say(text, body), k.DropsSources))
	}
}

// fewDrops is a number of drops below which one more or less changes the mix by
// over a tenth.
const fewDrops = 5

// fewestDrops returns the least number that is to be counted, -1 where nothing is
// dropped.
func (h *Handout) fewestDrops() int {
	fewest := -1
	for _, k := range h.Coatings {
		for _, l := range k.Lines {
			if l.DropsPerPrint != nil && (fewest < 0 || *l.DropsPerPrint < fewest) {
				fewest = *l.DropsPerPrint
			}
		}
	}
	return fewest
}

// lineWords is one solution: what a print takes in bold, and all prints.
func lineWords(l recipe.CoatLine, layered bool) []word {
	amount := figure3(l.MLPerPrint) + keep + "ml"
	if l.DropsPerPrint != nil {
		amount += keep + fmt.Sprintf("(%s)", count(*l.DropsPerPrint, "drop"))
	}
	name := l.Solution
	if layered {
		name = l.Layer + ", " + name
	}
	words := append(say(amount, strong), say(name, body)...)
	if l.MLInAll > l.MLPerPrint {
		words[len(words)-1].text += ";"
		words = append(words, say(figure3(l.MLInAll)+" ml in all", body)...)
	}
	return words
}

func count(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return strconv.Itoa(n) + keep + noun
}

// figure3 writes a quantity with three significant digits.
func figure3(x float64) string {
	switch {
	case x >= 100:
		return fmt.Sprintf("%.0f", x)
	case x >= 10:
		return fmt.Sprintf("%.1f", x)
	}
	return fmt.Sprintf("%.2f", x)
}

func trimmed(x float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.1f", x), "0"), ".")
}

// sizeText writes a size in whole millimetres, which do for brush and paper.
func sizeText(widthMM, heightMM float64) string {
	return fmt.Sprintf("%.0f%sx%s%.0f%smm", widthMM, keep, keep, heightMM, keep)
}
