package recipe

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// Widths of a rendered card, in characters. Tables do not fit below the least.
const (
	defaultWidth = 80
	leastWidth   = 64
)

// keep stands for a space at which a line must not break.
const keep = "\u00a0"

// page collects text for a terminal: wrapped, spaces only, no line wider than
// width, and the sources it refers to.
type page struct {
	b     strings.Builder
	width int
	notes footnotes
}

// newPage returns an empty page; width 0 or less means the default, and one
// too narrow for the tables is widened.
func newPage(width int) *page {
	if width <= 0 {
		width = defaultWidth
	}
	return &page{width: max(width, leastWidth)}
}

// heading starts a section.
func (p *page) heading(title string) {
	fmt.Fprintf(&p.b, "\n%s\n\n", strings.ToUpper(title))
}

// line writes text that is known to fit, without trailing spaces.
func (p *page) line(text string) {
	p.b.WriteString(strings.TrimRight(printable(text), " "))
	p.b.WriteByte('\n')
}

// printable leaves out control characters, which a file of the user's own may
// hold and a terminal would obey.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return -1
		}
		return r
	}, text)
}

// item writes wrapped text behind a lead; the lines after the first are
// indented by the width of the lead.
func (p *page) item(lead, text string) {
	indent := strings.Repeat(" ", len(lead))
	for i, line := range wrap(text, p.width-len(lead)) {
		if i == 0 {
			p.line(lead + line)
		} else {
			p.line(indent + line)
		}
	}
}

// field writes a labelled value; values stand in one column.
func (p *page) field(label, value string) {
	p.item(fmt.Sprintf("  %-14s  ", label), value)
}

// cite returns text followed by the marks of its sources.
func (p *page) cite(text string, sources []Source) string {
	return text + keep + strings.ReplaceAll(p.notes.marks(sources), " ", keep)
}

// statements writes a list with a bullet for each.
func (p *page) statements(list []Statement) {
	for _, s := range list {
		p.item("  - ", p.cite(s.Text, s.Sources))
	}
}

// unitPattern finds a number and its unit, which stay on one line.
var unitPattern = regexp.MustCompile(`(\d) (min|ml|mg|g|%|C|h|s|nm|mm|cm|m|in|oz|W|J|W/m2|J/m2|drops)([ ,.;:)]|$)`)

// wrap breaks text into lines of at most width characters at spaces. A word
// longer than a line stands alone.
func wrap(text string, width int) []string {
	text = unitPattern.ReplaceAllString(text, "$1"+keep+"$2$3")
	var lines []string
	line, length := "", 0
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }) {
		n := len([]rune(word))
		if length > 0 && length+1+n > width {
			lines = append(lines, line)
			line, length = "", 0
		}
		if length > 0 {
			line += " "
			length++
		}
		line += word
		length += n
	}
	lines = append(lines, line)
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], keep, " ")
	}
	return lines
}

// footnotes numbers the sources in the order in which they are cited. What
// comes from memory has letters instead, the same on every card.
type footnotes struct {
	cited  []Source
	memory map[string]Source
}

// memoryMarks are the letters of the sources from memory, best known first.
var memoryMarks = []struct{ key, mark string }{
	{"memory_high", "a"}, {"memory_medium", "b"}, {"memory_low", "c"},
}

// marks returns "[1] [b]" for the sources.
func (f *footnotes) marks(sources []Source) string {
	marks := make([]string, len(sources))
	for i, s := range sources {
		marks[i] = "[" + f.mark(s) + "]"
	}
	return strings.Join(marks, " ")
}

func (f *footnotes) mark(s Source) string {
	for _, m := range memoryMarks {
		if m.key == s.Key {
			if f.memory == nil {
				f.memory = map[string]Source{}
			}
			f.memory[s.Key] = s
			return m.mark
		}
	}
	for i, c := range f.cited {
		if c.Key == s.Key {
			return fmt.Sprint(i + 1)
		}
	}
	f.cited = append(f.cited, s)
	return fmt.Sprint(len(f.cited))
}

// list writes what the marks stand for.
func (p *page) list() {
	for _, m := range memoryMarks {
		if s, used := p.notes.memory[m.key]; used {
			p.item(fmt.Sprintf("  %-5s ", "["+m.mark+"]"), s.Label())
		}
	}
	for i, s := range p.notes.cited {
		p.item(fmt.Sprintf("  %-5s ", fmt.Sprintf("[%d]", i+1)), s.Label())
	}
}
