package measure

import (
	"fmt"
	"strconv"
	"strings"

	"actinic/process/tablet"
)

// addSteps gives each tablet reading the density of its step where the file does
// not.
func (g *grid) addSteps(rs []Reading) error {
	if g.has(colTablet) {
		if g.tablet != nil {
			g.notices = append(g.notices, fmt.Sprintf("the file gives tablet densities: %s is not used", g.tablet.Name))
		}
		g.addNominalDoubt(rs)
		return nil
	}
	if g.tablet == nil {
		return g.Fault(g.HeaderLine, "", "no column tablet_density, expected the density of each step",
			"add the column, or name the tablet: --steps 21x0.15+0.05")
	}
	for _, strip := range (&Table{Readings: rs}).Strips() {
		if err := g.addStrip(rs, strip); err != nil {
			return err
		}
	}
	return nil
}

// NominalTablet begins the comment of a tablet's file whose densities are those
// of the maker's notation, which nobody measured: they carry its doubt.
const NominalTablet = "tablet_density is nominal"

// addNominalDoubt gives densities the doubt of nominal ones where a comment of
// the file calls them so.
func (g *grid) addNominalDoubt(rs []Reading) {
	for _, line := range g.Lines {
		comment, found := strings.CutPrefix(strings.TrimSpace(line), "#")
		if found && strings.HasPrefix(strings.TrimSpace(comment), NominalTablet) {
			for i := range rs {
				rs[i].TabletSD = tablet.UncalibratedSD(rs[i].Tablet)
			}
			return
		}
	}
}

// addStrip matches one strip's readings to the tablet: by the number of the step
// if there is a column of it, else in order.
func (g *grid) addStrip(rs []Reading, strip string) error {
	used := map[int]bool{}
	n := 0
	for i := range rs {
		if rs[i].Strip != strip {
			continue
		}
		k := n
		if g.has(colStep) {
			if k = stepIndex(g.tablet, rs[i].ID); k < 0 || used[k] {
				return g.Fault(rs[i].Line, g.Header[g.col[colStep]],
					fmt.Sprintf("step %s is not a step of %s, or is there twice", rs[i].ID, g.tablet.Name), stepsHint)
			}
		}
		used[k] = true
		n++
		if k < len(g.tablet.Steps) {
			rs[i].Tablet, rs[i].TabletSD = g.tablet.Steps[k].Density, g.tablet.Steps[k].SD
		}
	}
	return g.checkCountOfSteps(strip, n, used)
}

const stepsHint = "check --steps; where steps were left out, give each step's density in a column tablet_density instead"

func (g *grid) checkCountOfSteps(strip string, n int, used map[int]bool) error {
	want := len(g.tablet.Steps)
	if n == want {
		return nil
	}
	what := fmt.Sprintf("%d readings", n)
	if strip != "" {
		what += " on strip " + strip
	}
	what += fmt.Sprintf(", expected the %d steps of %s", want, g.tablet.Name)
	if g.has(colStep) {
		what += ": missing " + missingSteps(g.tablet, used)
	}
	return g.Fault(0, "", what, stepsHint)
}

// missingSteps names up to six steps that are not used.
func missingSteps(t *tablet.Tablet, used map[int]bool) string {
	var names []string
	for i, s := range t.Steps {
		if used[i] {
			continue
		}
		if len(names) == 6 {
			return strings.Join(names, ", ") + " and more"
		}
		names = append(names, s.Name)
	}
	return strings.Join(names, ", ")
}

// stepIndex finds a step by its name; numbers match by value, so that 03 is 3.
func stepIndex(t *tablet.Tablet, id string) int {
	n, err := strconv.Atoi(id)
	for i, s := range t.Steps {
		if s.Name == id {
			return i
		}
		if m, e := strconv.Atoi(s.Name); err == nil && e == nil && m == n {
			return i
		}
	}
	return -1
}
