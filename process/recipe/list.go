package recipe

import (
	"fmt"
	"io"
	"strings"
)

// minutesPerHour and minutesPerDay turn long exposures into words.
const (
	minutesPerHour = 60
	minutesPerDay  = 24 * minutesPerHour
)

// RenderList writes a table of all processes for a terminal of the given width
// (0 means 80): id, name, film, exposure scale, minutes, hazard level. Below 80
// the name is left out. It fails only if w does.
func RenderList(w io.Writer, width int) error {
	p := newPage(width)
	names := p.width >= defaultWidth
	p.line(listRow(names, "id", "name", "film", "scale", "minutes", "hazard"))
	for _, c := range Cards() {
		p.line(listRow(names, c.ID, c.Name, string(c.Polarity), c.scaleText(), c.minutesText(), string(c.HazardLevel)))
	}
	p.line("")
	p.item("", "scale: exposure scale, log10. minutes: usual exposure under UV-A tubes. Both are starting values, mostly from memory; 'actinic process show ID' gives sources, steps and hazards.")
	p.item("", "hazard: high is poison or lasting harm, medium burns skin or eyes, low is the rest; optional chemicals, which can raise it, are left out.")
	p.item("", listFilmNote(Cards()))
	_, err := io.WriteString(w, p.b.String())
	return err
}

func listRow(names bool, id, name, film, scale, minutes, hazard string) string {
	if !names {
		name = ""
	} else {
		name = fmt.Sprintf("%-25s ", name)
	}
	return fmt.Sprintf("%-19s  %s%-8s %7s %8s  %s", id, name, film, scale, minutes, hazard)
}

func (c Card) scaleText() string {
	return fmt.Sprintf("%.1f-%.1f", float64(c.ExposureScale.Low), float64(c.ExposureScale.High))
}

func (c Card) minutesText() string {
	m := c.ExposureMinutes
	if m.High < minutesPerDay {
		return number(m.Low) + "-" + number(m.High)
	}
	return fmt.Sprintf("%s h-%s d", number(m.Low/minutesPerHour), number(m.High/minutesPerDay))
}

// listFilmNote says which films are not mirrored.
func listFilmNote(cards []Card) string {
	var plain []string
	for _, c := range cards {
		if !c.Mirrored {
			plain = append(plain, c.ID)
		}
	}
	return "Films are printed mirrored, except for " + strings.Join(plain, " and ") + "."
}
