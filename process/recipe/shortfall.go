package recipe

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"actinic/process/density"
)

// Shortfall returns what to do where no ink of a printer reaches the needed
// range of a process: wanted is that range, reached what the densest ink surely
// stops. id is the ID of the process, "" where none is known. Each sentence
// carries its sources. It returns nothing where reached is not below wanted.
func Shortfall(id string, wanted, reached density.LogExposure) []Statement {
	if !(reached < wanted) {
		return nil
	}
	var all []Statement
	for _, c := range Cards() {
		if c.ID == id {
			all = c.harder(wanted, reached)
		}
	}
	if s, ok := shorterProcesses(id, wanted, reached); ok {
		all = append(all, s)
	}
	return append(all, twoPasses())
}

// harder says how to raise the contrast of the process, so that the range it
// needs shrinks to the one reached.
func (c Card) harder(wanted, reached density.LogExposure) []Statement {
	share := reached / max(wanted, 1e-9)
	scale := max(c.ExposureScale.Typical*share, 0)
	all := []Statement{{
		Text: fmt.Sprintf("Raise the contrast of %s until its exposure scale is %.0f %% of what it is now: where it has the usual %.2f, to %.2f.",
			c.Name, 100*float64(share), float64(c.ExposureScale.Typical), float64(scale)),
		Sources: c.ExposureScale.Sources,
	}}
	if s, ok := c.dichromateDose(scale); ok {
		all = append(all, s)
	}
	return append(all, c.agents()...)
}

// dichromateDose is how much dichromate the developer takes for an exposure
// scale; only where doses were tried on this process.
func (c Card) dichromateDose(scale density.LogExposure) (Statement, bool) {
	i := slices.IndexFunc(c.ContrastTable, func(r ContrastRow) bool { return r.MLPerLitre > 0 })
	if i < 0 {
		return Statement{}, false
	}
	row := c.ContrastTable[i]
	ml, err := PalladiumDichromate(scale)
	switch {
	case scale > dichromateScale(dichromateMinML):
		return Statement{Text: fmt.Sprintf("%s: less than %d ml per litre of developer, the least that was tried.", upperFirst(row.Agent), dichromateMinML), Sources: row.Sources}, true
	case err != nil:
		return Statement{Text: fmt.Sprintf("%s alone does not do it: it was tried down to an exposure scale of %.2f only.", upperFirst(row.Agent),
			float64(dichromateScale(dichromateMaxML))), Sources: row.Sources}, true
	}
	text := fmt.Sprintf("%s: about %.1f ml per litre of developer gave an exposure scale of %.2f on one paper; a starting point only.", upperFirst(row.Agent), ml, float64(scale))
	if ml >= grainFromML {
		text += fmt.Sprintf(" From %d ml on it gives grain.", grainFromML)
	}
	return Statement{Text: text, Sources: row.Sources}, true
}

// grainFromML is from where dichromate in the developer gives grain, in the same
// table.
const grainFromML = 16

// agents names the contrast controls of the table that have no exposure scales,
// and where the card tells of the others.
func (c Card) agents() []Statement {
	var all []Statement
	var seen []string
	for _, r := range c.ContrastTable {
		if r.MLPerLitre == 0 && !slices.Contains(seen, r.Agent) {
			seen = append(seen, r.Agent)
			all = append(all, Statement{Text: c.agentText(r.Agent), Sources: r.Sources})
		}
	}
	if len(c.ContrastControls) > 0 {
		s := Statement{Text: fmt.Sprintf("The contrast controls of the process are on its card: actinic process show %s.", c.ID)}
		for _, control := range c.ContrastControls {
			s.Sources = appendNew(s.Sources, control.Sources)
		}
		all = append(all, s)
	}
	return all
}

// agentText lists the doses of an agent with what they do.
func (c Card) agentText(agent string) string {
	var doses []string
	for _, r := range c.ContrastTable {
		if r.Agent == agent {
			dose := r.Dose
			if r.Effect != "" {
				dose += " (" + r.Effect + ")"
			}
			doses = append(doses, dose)
		}
	}
	return upperFirst(agent) + ": " + strings.Join(doses, "; ") + "."
}

func appendNew(list, more []Source) []Source {
	for _, s := range more {
		if !slices.ContainsFunc(list, func(old Source) bool { return old.Key == s.Key }) {
			list = append(list, s)
		}
	}
	return list
}

// mostProcesses is how many other processes are named.
const mostProcesses = 3

// shorterProcesses names processes whose needed range this ink may reach: the
// needed range is longer than the exposure scale, by as much as here where that
// is known, else by a quarter (a working value of ours).
func shorterProcesses(id string, wanted, reached density.LogExposure) (Statement, bool) {
	stretch := density.LogExposure(1.25)
	for _, c := range Cards() {
		if c.ID == id && c.ExposureScale.Typical > 0 {
			stretch = min(max(wanted/c.ExposureScale.Typical, 1), 1.5)
		}
	}
	var fit []Card
	for _, c := range Cards() {
		if c.ID != id && c.Light == UVLamp && c.ExposureScale.Typical*stretch <= reached {
			fit = append(fit, c)
		}
	}
	if len(fit) == 0 {
		return Statement{}, false
	}
	sort.SliceStable(fit, func(i, j int) bool { return fit[i].ExposureScale.Typical > fit[j].ExposureScale.Typical })
	s := Statement{}
	var names []string
	for _, c := range fit[:min(len(fit), mostProcesses)] {
		names = append(names, fmt.Sprintf("%s (usually %.1f)", c.Name, float64(c.ExposureScale.Typical)))
		s.Sources = appendNew(s.Sources, c.ExposureScale.Sources)
	}
	s.Text = fmt.Sprintf("Or take a process with a shorter exposure scale, which %.2f of ink range may serve: %s.", float64(reached), strings.Join(names, ", "))
	return s, true
}

// twoPasses is what a printer can still do itself.
func twoPasses() Statement {
	s := Statement{Text: "Or print the film twice, if it takes the ink without pooling and the printer feeds it to the same place again: two passes stop up to twice as much. Calibrate it as an ink of its own."}
	s.Sources = []Source{data().sources["memory_medium"]}
	return s
}
