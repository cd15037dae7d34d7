package letters

import (
	"strings"
	"testing"
)

// TestCapitalsFillTheirRows: what Baseline and CapTop say is what the font does.
func TestCapitalsFillTheirRows(t *testing.T) {
	for _, r := range "ABCDEFGHKLMNPRSTUVWXYZ0123456789" {
		m := Line(string(r))
		for y := range m.Height {
			inked := false
			for x := range m.Width {
				inked = inked || m.At(x, y)
			}
			if want := y >= CapTop && y < Baseline; inked != want {
				t.Errorf("%c: row %d has ink: %v, want %v", r, y, inked, want)
			}
		}
	}
}

// TestTurned: a quarter turn clockwise puts the bottom left at the top left, and
// four give the text back.
func TestTurned(t *testing.T) {
	m := Line("Lj")
	turned := m.Turned()
	if turned.Width != m.Height || turned.Height != m.Width {
		t.Fatalf("turned to %d x %d", turned.Width, turned.Height)
	}
	for y := range m.Height {
		for x := range m.Width {
			if m.At(x, y) != turned.At(m.Height-1-y, x) {
				t.Fatalf("pixel %d, %d is lost", x, y)
			}
		}
	}
	back := turned.Turned().Turned().Turned()
	for i := range m.On {
		if m.On[i] != back.On[i] {
			t.Fatal("four turns do not give the text back")
		}
	}
}

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text    string
		columns int
		want    string
	}{
		{"one two three", 7, "one two|three"},
		{"abcdefgh ij", 3, "abc|def|gh|ij"},
		{"  a   b ", 9, "a b"},
		{"", 5, ""},
		{"word", 0, "w|o|r|d"},
	} {
		if got := strings.Join(Wrap(c.text, c.columns), "|"); got != c.want {
			t.Errorf("Wrap(%q, %d) = %q, want %q", c.text, c.columns, got, c.want)
		}
	}
}
