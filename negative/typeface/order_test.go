package typeface

import "testing"

// Lines as they are seen, from left to right, worked out by hand with the rules
// of Unicode Standard Annex #9. Capitals of the comments run from right to left.
func TestOrderOfLines(t *testing.T) {
	for _, c := range []struct{ what, text, want string }{
		{"SHALOM abc (def)", Isolate("שלום abc (def)") + " · cat", "abc (def) םולש · cat"},
		{"SHALOM 12", Isolate("שלום 12") + " · 5 mm", "12 םולש · 5 mm"},
		{"abc SHALOM 12 x", Isolate("abc שלום 12 x") + " · 5 mm", "abc 12 םולש x · 5 mm"},
		{"SHALOM (ABA)", Isolate("שלום (אבא)") + " · x", "(אבא) םולש · x"},
		{"x 3-in-Arabic SHALOM", Isolate("x ٣ שלום"), "x םולש ٣"},
		{"two parts", Isolate("שלום 1") + " · " + Isolate("אבא a"), "1 םולש · a אבא"},
		{"no letters", Isolate("12"), "12"},
	} {
		if got := NewSetter().Set(c.text).shown; got != c.want {
			t.Errorf("%s: shown as %q, want %q", c.what, got, c.want)
		}
	}
}
