package handout

import (
	"regexp"
	"strings"
)

// word is what no line breaks within.
type word struct {
	text string
	style
	joined bool // follows without a space
}

// unitPattern finds what stays together: a number and its unit, the code of a
// hazard and its first word, a sign and what it stands before.
var unitPattern = regexp.MustCompile(`(\d) (%|(?:min|ml|mg|g|C|h|s|nm|mm|cm|m|in|oz|W|J|drops)\b)|(H\d+[A-Z]*) |± `)

const keep = "\u00a0"

// say returns a text as words of one style.
func say(text string, s style) []word {
	text = unitPattern.ReplaceAllStringFunc(strings.ReplaceAll(text, "+-", "±"), func(m string) string {
		return strings.ReplaceAll(m, " ", keep)
	})
	var all []word
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		all = append(all, word{text: w, style: s})
	}
	return all
}

// line is words that fit a width.
type line struct {
	words []word
	at    []float64 // from the start of the line
}

// wrap breaks words into lines of at most widthMM. A word that is longer loses
// its middle.
func (p *pen) wrap(words []word, widthMM float64) []line {
	var lines []line
	var l line
	x := 0.0
	for i := 0; i < len(words); {
		n := 1 // words that stay together
		for i+n < len(words) && words[i+n].joined {
			n++
		}
		group, wide := words[i:i+n], 0.0
		for j := range group {
			if p.width(group[j].text, group[j].style) > widthMM {
				group[j].text = p.name(group[j].text, group[j].style, widthMM)
			}
			wide += p.width(group[j].text, group[j].style)
		}
		space := p.width(" ", group[0].style)
		if len(l.words) > 0 && x+space+wide > widthMM {
			lines, l, x = append(lines, l), line{}, 0
		}
		if len(l.words) > 0 {
			x += space
		}
		for _, w := range group {
			l.words, l.at = append(l.words, w), append(l.at, x)
			x += p.width(w.text, w.style)
		}
		i += n
	}
	if len(l.words) > 0 {
		lines = append(lines, l)
	}
	return lines
}

// put writes a line with its baseline at y.
func (p *pen) put(l line, x, y float64) {
	for i, w := range l.words {
		p.write(w.text, w.style, x+l.at[i], y)
	}
}
