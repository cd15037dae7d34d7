package handout

import (
	"strings"
	"testing"

	"actinic/negative/typeface"
	"actinic/process/recipe"
)

// A name keeps its own direction beside words of ours, and leaves them room on
// every card's line.
func TestNamesBesideWords(t *testing.T) {
	paper, err := ParsePaper("A4")
	if err != nil {
		t.Fatal(err)
	}
	p := newPen(Options{Paper: paper})
	if got, want := p.nameAnd("שלום abc", " · Gum", nameNext, 150), typeface.Isolate("שלום abc")+" · Gum"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for _, c := range recipe.Cards() {
		const room = 120
		words := " · " + c.FullName
		got := p.nameAnd(strings.Repeat("Ngaio ", 60), words, nameNext, room)
		if w := p.width(got, nameNext); w > room || !strings.HasPrefix(got, "Ngaio") || !strings.HasSuffix(got, words) {
			t.Errorf("%s: %q is %.1f mm long in %d mm", c.ID, got, w, room)
		}
	}
}
