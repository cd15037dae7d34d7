package recipe

import (
	"bytes"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func benchText(t testing.TB, width int, plans ...CoatPlan) string {
	t.Helper()
	b, err := CoatAll(plans...)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := b.Render(&out, width); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// TestBenchSheet: dangers come before quantities, every section is there, and
// the standing caution and sources close it.
func TestBenchSheet(t *testing.T) {
	p := plan8x10("platinum_dop")
	p.Contrast, p.LossFraction = "average", 0.15
	text := benchText(t, 80, p)
	rest := text
	for _, want := range []string{"Platinum, developing-out: 1 print of 203.2 x 254 mm", "NEVER BRING TOGETHER", "chlorine dioxide",
		"MEASURE OUT", "ferric oxalate B", "MAKE UP THE STOCKS", "UP TO", "TO HAVE IN THE CUPBOARD", "CONTRAST", "Set to average",
		"HAZARDS", "H301    Toxic if swallowed.", "WASTE", "CAUTIONS", "take precedence", "SOURCES", "common practice, from memory", "published: "} {
		i := strings.Index(rest, want)
		if i < 0 {
			t.Fatalf("%q is missing or stands too early", want)
		}
		rest = rest[i:]
	}
}

// TestEveryFigureHasAMark: each line of quantities and of weights cites a source.
func TestEveryFigureHasAMark(t *testing.T) {
	for _, r := range Recipes() {
		p := plan8x10(r.Process)
		p.Recipe = r.ID
		for _, line := range strings.Split(benchText(t, 100, p), "\n") {
			weighed := strings.Contains(line, "% w/v)")
			if weighed && !strings.HasSuffix(line, "]") {
				t.Errorf("%s: %q has no source", r.ID, line)
			}
		}
		for _, l := range coated(t, p).Lines {
			if len(l.Sources) == 0 {
				t.Errorf("%s: parts of %s have no source", r.ID, l.Solution)
			}
		}
	}
}

// TestBenchFits: any plan fits any width, in plain ASCII, in the house's words.
func TestBenchFits(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := drawPlan(r)
		width := rapid.IntRange(0, 140).Draw(r, "width")
		wide := max(width, leastWidth)
		if width == 0 {
			wide = defaultWidth
		}
		checkText(t, p.Recipe, benchText(t, width, p), wide)
	})
}

// TestControlCharactersStayOut: a file of the user's own can't steer a terminal.
func TestControlCharactersStayOut(t *testing.T) {
	p := plan8x10("kallitype")
	p.Book = readBook(t, strings.Replace(ownFile, "weaker iron", `weaker \u001b[31m iron`, 1))
	if text := benchText(t, 80, p); strings.ContainsAny(text, "\x1b\a\r") || !strings.Contains(text, "weaker [31m iron") {
		t.Error("an escape reached the page")
	}
}

func TestFigure3(t *testing.T) {
	for x, want := range map[float64]string{0: "0", 0.069: "0.0690", 0.4: "0.400", 1.005: "1.00", 9.999: "10.0", 16.94: "16.9", 1440: "1440", 1e-9: "0.000000"} {
		if got := figure3(x); got != want {
			t.Errorf("%g: %s, want %s", x, got, want)
		}
	}
}
