package handout

import (
	"fmt"
	"slices"

	"actinic/process/recipe"
)

// notes numbers sources in the order in which they are cited. What comes from
// memory has letters, as on the process cards.
type notes struct {
	cited  []recipe.Source
	memory []recipe.Source
}

// memoryMarks are the letters of the sources from memory, best known first.
var memoryMarks = []struct{ key, mark string }{{"memory_high", "a"}, {"memory_medium", "b"}, {"memory_low", "c"}}

// cite returns words with the marks of their sources behind.
func (n *notes) cite(words []word, sources []recipe.Source) []word {
	for _, s := range sources {
		words = append(words, word{text: keep + "[" + n.mark(s) + "]", style: mark, joined: true})
	}
	return words
}

func (n *notes) mark(s recipe.Source) string {
	for _, m := range memoryMarks {
		if m.key == s.Key {
			if !has(n.memory, s) {
				n.memory = append(n.memory, s)
			}
			return m.mark
		}
	}
	if !has(n.cited, s) {
		n.cited = append(n.cited, s)
	}
	return fmt.Sprint(1 + slices.IndexFunc(n.cited, func(o recipe.Source) bool { return o.Key == s.Key }))
}

func has(all []recipe.Source, s recipe.Source) bool {
	return slices.ContainsFunc(all, func(o recipe.Source) bool { return o.Key == s.Key })
}

// list writes what the marks stand for, one behind the other.
func (n *notes) list(c *column) {
	c.heading("Sources")
	var words []word
	add := func(mark string, s recipe.Source) {
		words = append(words, say("["+mark+"]"+keep+s.FullLabel()+".", tiny)...)
	}
	for _, m := range memoryMarks {
		for _, s := range n.memory {
			if s.Key == m.key {
				add(m.mark, s)
			}
		}
	}
	for i, s := range n.cited {
		add(fmt.Sprint(i+1), s)
	}
	c.paragraph("", words, 0)
}
