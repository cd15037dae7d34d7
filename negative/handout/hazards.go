package handout

import (
	"fmt"
	"slices"
	"strings"

	"actinic/process/recipe"
)

// hazards writes each chemical of the process, optional ones too, with its
// hazard statements in words.
func (h *Handout) hazards(c *column, n *notes) {
	c.heading("Hazards of the chemicals")
	uses := h.Process.Chemicals
	if len(uses) == 0 {
		c.paragraph("", say("None of the chemicals on file is used. Read the data sheets of what you do use.", fine), 0)
		return
	}
	all := make([]recipe.Chemical, len(uses))
	for i, use := range uses {
		var err error
		if all[i], err = recipe.FindChemical(use.ID); err != nil {
			panic("handout: " + err.Error()) // loading checks every card
		}
	}
	c.paragraph("", say("Statements and pictograms of the UN GHS, in words. Suppliers differ: the sheet that came with your bottle counts.", fine), 0)
	worn := wornThroughout(all)
	if len(worn) > 0 {
		c.gap(itemGapMM)
		c.paragraph("", append(say("Wear throughout:", fineBold), say(strings.Join(worn, "; ")+".", fine)...), 0)
	}
	for i, use := range uses {
		chemical(c, n, all[i], use, worn)
	}
}

// wornThroughout returns the protection that most of the chemicals ask for which
// ask for any: what one of them wants besides is said with it.
func wornThroughout(all []recipe.Chemical) []string {
	asking, times := 0, map[string]int{}
	var items []string // in the order of the data
	for _, c := range all {
		if len(c.Protection) == 1 && c.Protection[0] == noneNeeded {
			continue
		}
		asking++
		for _, item := range c.Protection {
			if times[item]++; times[item] == 1 {
				items = append(items, item)
			}
		}
	}
	return slices.DeleteFunc(items, func(item string) bool { return 2*times[item] <= asking })
}

// noneNeeded is how the data says that a chemical asks for no protection.
const noneNeeded = "none needed"

func chemical(c *column, n *notes, k recipe.Chemical, use recipe.ChemicalUse, worn []string) {
	c.gap(2)
	title := say(k.Name, fineBold)
	if k.SignalWord != "" {
		title = append(title, say("- "+strings.ToUpper(k.SignalWord), fineBold)...)
	}
	role := use.Role
	if use.Optional {
		role = "only if used: " + role
	}
	c.paragraph("", n.cite(append(title, say("("+role+")", fine)...), k.Sources), 0)
	c.rows[len(c.rows)-1].keep = true
	c.paragraph("", labelWords(k.Pictograms, k.Statements), indentMM)
	for _, v := range k.Variants {
		words := say(capital(v.When)+":", fine)
		if v.SignalWord != "" {
			words = append(words, say(strings.ToUpper(v.SignalWord)+".", fine)...)
		}
		c.paragraph("", n.cite(append(words, labelWords(v.Pictograms, v.Statements)...), v.Sources), indentMM)
	}
	c.paragraph("", careWords(k, worn), indentMM)
}

// careWords say how to handle a chemical.
func careWords(k recipe.Chemical, worn []string) []word {
	words := say(k.Note, fine)
	more := slices.DeleteFunc(slices.Clone(k.Protection), func(p string) bool { return slices.Contains(worn, p) || p == noneNeeded })
	for _, part := range []struct{ lead, text string }{
		{"Keep away from:", strings.Join(k.KeepAwayFrom, "; ")},
		{wearLead(worn), strings.Join(more, "; ")},
		{"Waste:", k.Disposal},
	} {
		if part.text != "" {
			words = append(append(words, say(part.lead, fineBold)...), say(part.text+".", fine)...)
		}
	}
	return words
}

func wearLead(worn []string) string {
	if len(worn) == 0 {
		return "Wear:"
	}
	return "Wear besides:"
}

// labelWords is what stands on the label: statements in words, then pictograms.
func labelWords(pictograms, codes []string) []word {
	var words []word
	for _, code := range codes {
		s, _ := recipe.FindHazardStatement(code) // loading checks that it is there
		words = append(words, say(fmt.Sprintf("%s %s.", s.Code, s.Text), fine)...)
	}
	if len(codes) == 0 {
		words = say("No hazard statement.", fine)
	}
	var names []string
	for _, code := range pictograms {
		names = append(names, recipe.PictogramName(code))
	}
	switch len(names) {
	case 0:
		return words
	case 1:
		return append(words, say("Pictogram: "+names[0]+".", fine)...)
	}
	return append(words, say("Pictograms: "+strings.Join(names, ", ")+".", fine)...)
}
