package main

import (
	"fmt"
	"strings"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/printer"
	"actinic/process/recipe"
)

// shortfallAdvice says what to do where no colour surely reaches the needed range:
// first print longer, where that may show that one does. The card is empty where
// no process was named.
func shortfallAdvice(k *calibration.Inks, card recipe.Card) []recipe.Statement {
	if k.Ranking == nil || k.Ranking.Shortfall <= 0 {
		return nil
	}
	var advice []recipe.Statement
	if n := boundsOnly(k.Ranking); n > 0 {
		text := fmt.Sprintf("Print the chart again with four times the exposure and give both prints to this command: so far the print tells of %s only what it stops at least. Should the chart's marks print too dark to be found, draw the chart anew with a dense --ink-colour.",
			counted(n, "colour"))
		advice = append(advice, recipe.Statement{Text: text, Sources: []recipe.Source{}})
	}
	wanted := density.LogExposure(k.Ranking.NeededRange)
	return append(advice, recipe.Shortfall(card.ID, wanted, wanted-density.LogExposure(k.Ranking.Shortfall))...)
}

// boundsOnly counts colours of which the prints tell only what they stop at least.
func boundsOnly(r *printer.Ranking) int {
	n := 0
	for _, c := range r.Colours {
		if c.UVDensity == nil && c.AtLeast != nil {
			n++
		}
	}
	return n
}

// adviceText writes advice with its sources.
func adviceText(b *strings.Builder, advice []recipe.Statement) {
	if len(advice) == 0 {
		return
	}
	b.WriteString("\nNo colour surely reaches the needed range:\n")
	for _, s := range advice {
		var sources []string
		for _, source := range s.Sources {
			sources = append(sources, source.Label())
		}
		text := "- " + s.Text
		if len(sources) > 0 {
			text += " [" + strings.Join(sources, "; ") + "]"
		}
		b.WriteString(folded(text, 2, 4, terminalWidth))
	}
}
