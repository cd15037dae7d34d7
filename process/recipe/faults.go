package recipe

import (
	"fmt"
	"slices"
)

// PrintFault is something that a print can show, what is likely behind it and
// where to look first.
type PrintFault struct {
	Sign   string `json:"sign"` // as seen on the print
	Cause  string `json:"cause"`
	Remedy string `json:"remedy"`
	LookAt Place  `json:"look_at"`
	// Processes are the IDs of the cards it is for; none means every card.
	Processes []string `json:"processes"`
	// NegativesOnly: in a positive-working process light and dark change places,
	// so that the sign would mislead.
	NegativesOnly bool     `json:"negatives_only"`
	Sources       []Source `json:"sources"`
}

// Place is where a fault comes from: what to look at before the curve is
// touched.
type Place string

// The places where faults come from.
const (
	OfExposure Place = "exposure"
	OfCurve    Place = "curve"
	OfFilm     Place = "film"
	OfContact  Place = "film and glass"
	OfCoating  Place = "coating and baths"
)

// Places returns the places where faults come from, first the one to look at
// first.
func Places() []Place { return []Place{OfExposure, OfCurve, OfCoating, OfFilm, OfContact} }

// PrintFaults returns every fault on file, in the order of the data file.
func PrintFaults() []PrintFault { return append([]PrintFault(nil), data().faults...) }

// WatchFor returns the faults that prints of this process can show, sorted by
// where to look.
func (c Card) WatchFor() []PrintFault { return data().watchFor(c) }

func (lib *library) watchFor(c Card) []PrintFault {
	found := []PrintFault{}
	for _, place := range Places() {
		for _, f := range lib.faults {
			if f.LookAt == place && f.fits(c) {
				found = append(found, f)
			}
		}
	}
	return found
}

func (f *PrintFault) fits(c Card) bool {
	if f.NegativesOnly && c.Polarity != Negative {
		return false
	}
	return len(f.Processes) == 0 || slices.Contains(f.Processes, c.ID)
}

// validateFaults checks that each fault says everything and names cards that
// there are. That each has sources is checked with all other citations.
func (lib *library) validateFaults() error {
	seen := map[string]bool{}
	for _, f := range lib.faults {
		switch {
		case f.Sign == "" || f.Cause == "" || f.Remedy == "":
			return fmt.Errorf("fault %q: a text is empty", f.Sign)
		case seen[plain(f.Sign)]:
			return fmt.Errorf("fault %q stands twice", f.Sign)
		case !slices.Contains(Places(), f.LookAt):
			return fmt.Errorf("fault %q: nobody can look at %q", f.Sign, f.LookAt)
		}
		seen[plain(f.Sign)] = true
		for _, id := range f.Processes {
			if !lib.hasCard(id) {
				return fmt.Errorf("fault %q: process %q is unknown", f.Sign, id)
			}
		}
	}
	return nil
}

// renderFaults writes what to watch for, by where to look.
func (c Card) renderFaults(p *page) {
	p.heading("What to watch for")
	place := Place("")
	for i, f := range c.WatchFor() {
		if f.LookAt != place {
			if place = f.LookAt; i > 0 {
				p.line("")
			}
			p.item("  ", "Look at the "+string(place)+":")
		}
		p.item("  - ", p.cite(upperFirst(f.Sign)+": "+f.Cause+". Try: "+f.Remedy+".", f.Sources))
	}
}
