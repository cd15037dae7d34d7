package sheet

import (
	"strings"

	"actinic/negative/typeface"
)

// face sets the lines of a sheet: what it can show, and how wide that is. Lines
// are in the order of reading; how they are ordered on the page is its business.
type face struct {
	setter *typeface.Setter
}

func newFace() *face { return &face{typeface.NewSetter()} }

// widthMM returns how long text is at sizePt points.
func (f *face) widthMM(text string, sizePt float64) float64 {
	return f.setter.Set(text).WidthMM(sizePt)
}

// clean returns text in one line of nothing but letters, and those that no font
// has: an empty box is shown for each.
func (f *face) clean(text string) (shown string, missing []rune) {
	shown = typeface.Clean(text)
	return shown, f.setter.Set(shown).Missing
}

// fit returns text cut to widthMM: what is too long loses its middle, because
// names differ at their ends.
func (f *face) fit(text string, sizePt, widthMM float64) string {
	return f.setter.Fit(text, sizePt, widthMM)
}

// wrap breaks text at its spaces into lines of at most widthMM; a single word
// that is longer is cut.
func (f *face) wrap(text string, sizePt, widthMM float64) []string {
	return f.lines(strings.Fields(text), " ", sizePt, widthMM)
}

// join sets parts in lines of at most widthMM, as many to a line as fit, with a
// dot between. A part stays in one piece, and keeps its own direction.
func (f *face) join(parts []string, sizePt, widthMM float64) []string {
	return f.lines(parts, " · ", sizePt, widthMM)
}

// lines fills lines with pieces. Only a piece that is longer than a line is cut.
func (f *face) lines(pieces []string, between string, sizePt, widthMM float64) []string {
	var lines []string
	line := ""
	for _, p := range pieces {
		if p = typeface.Isolate(f.fit(p, sizePt, widthMM)); p == "" {
			continue
		}
		if longer := line + between + p; line != "" && f.widthMM(longer, sizePt) <= widthMM {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = p
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
