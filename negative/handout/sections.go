package handout

import (
	"fmt"
	"strings"

	"actinic/process/recipe"
)

// content writes everything below the head of a handout into one column.
func (h *Handout) content(c *column, n *notes) {
	h.steps(c, n)
	h.apart(c, n) // before anything is measured
	h.quantities(c, n)
	h.watch(c, n)
	h.hazards(c, n)
	h.light(c, n)
	waste(c, n)
	n.list(c)
}

func (h *Handout) steps(c *column, n *notes) {
	c.heading("Steps")
	for i, s := range h.Process.Steps {
		c.item(fmt.Sprintf("%d", i+1), n.cite(say(s.Text, body), s.Sources))
	}
	if len(h.Process.DryDown) == 0 {
		return
	}
	c.heading("When you judge the print")
	for _, s := range h.Process.DryDown {
		c.item(bullet, n.cite(say(s.Text, body), s.Sources))
	}
}

// watch lists what prints of the process can show, by where to look.
func (h *Handout) watch(c *column, n *notes) {
	c.heading("What to watch for")
	place := recipe.Place("")
	for _, f := range h.Process.WatchFor() {
		if f.LookAt != place {
			place = f.LookAt
			c.gap(1.6)
			c.paragraph("", say("Look at the "+string(place), fineBold), 0)
			c.rows[len(c.rows)-1].keep = true
		}
		words := say(capital(f.Sign)+": "+f.Cause+". Try: "+f.Remedy+".", fine)
		c.item(bullet, n.cite(words, f.Sources))
	}
}

// levelWords say how hard an incompatibility is.
var levelWords = map[recipe.Level]string{
	recipe.Stop: "NEVER:", recipe.Warn: "Keep apart:", recipe.Note: "Spoils the work:",
}

func (h *Handout) apart(c *column, n *notes) {
	c.heading("Do not bring together")
	pairs := h.Process.Incompatible()
	if len(pairs) == 0 {
		c.paragraph("", say("No pair on file matters here.", body), 0)
	}
	for _, p := range pairs {
		words := say(levelWords[p.Level], strong)
		words = append(words, say(fmt.Sprintf("%s with %s: %s.", p.A.Text, p.B.Text, p.Result), body)...)
		c.item(bullet, n.cite(words, p.Sources))
	}
}

func (h *Handout) light(c *column, n *notes) {
	title := "The UV lamp"
	if h.Process.Light == recipe.Daylight {
		title = "Sunlight"
	}
	c.heading(title)
	for _, s := range h.Process.LightCautions() {
		c.item(bullet, n.cite(say(s.Text, fine), s.Sources))
	}
}

func waste(c *column, n *notes) {
	c.heading("Waste")
	for _, s := range recipe.DisposalCautions() {
		c.item(bullet, n.cite(say(s.Text, fine), s.Sources))
	}
}

// capital begins a sentence.
func capital(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
