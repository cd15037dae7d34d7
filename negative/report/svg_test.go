package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawn is a figure for a wide page.
func drawn(f Figure) string { return string(drawSVG(wideSheet, "part-1", f)) }

// Every drawing is well-formed XML with a title, a description and text as text.
func TestDrawingsAreSound(t *testing.T) {
	for name, f := range sampleFigures() {
		for _, size := range []sheetSize{wideSheet, narrowSheet} {
			text := string(drawSVG(size, "part-1", f))
			d := xml.NewDecoder(strings.NewReader(text))
			found := map[string]int{}
			for {
				token, err := d.Token()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if e, ok := token.(xml.StartElement); ok {
					found[e.Name.Local]++
				}
			}
			if found["svg"] != 1 || found["title"] != 1 || found["desc"] != 1 || found["text"] < 5 {
				t.Errorf("%s: elements %v", name, found)
			}
			if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Errorf("%s holds what is no number", name)
			}
		}
	}
}

// tickAt is where the tick with a label stands: its letters' middle across, or the
// grid line beside them.
func tickAt(t *testing.T, svg, anchor, label string) (x, y float64) {
	t.Helper()
	m := regexp.MustCompile(fmt.Sprintf(`<text text-anchor="%s" x="([^"]*)" y="([^"]*)">%s<`, anchor, regexp.QuoteMeta(label))).FindStringSubmatch(svg)
	if m == nil {
		t.Fatalf("no tick %s in %s", label, svg)
	}
	x, _ = strconv.ParseFloat(m[1], 64)
	y, _ = strconv.ParseFloat(m[2], 64)
	return x, y - 4.5
}

// A line runs where the ticks say: through the corners of a figure of 0 to 100, and
// through the tick of 40 across and 70 upwards.
func TestLinesRunWhereTheTicksSay(t *testing.T) {
	f := InkCurve(Series{Name: "l", X: []float64{0, 40, 100}, Y: []float64{0, 70, 100}}, nil)
	f.Y.Max = 100
	svg := drawn(f)
	m := regexp.MustCompile(`class="line c0" d="M(\S+) (\S+)L(\S+) (\S+)L(\S+) (\S+)"`).FindStringSubmatch(svg)
	if m == nil {
		t.Fatalf("no line of three places in %s", svg)
	}
	f.Points = []Points{{Name: "p", X: []float64{40}, Y: []float64{60}}}
	point := regexp.MustCompile(`class="point" d="M(\S+) (\S+?)m`).FindStringSubmatch(drawn(f))
	for i, want := range []struct{ across, upwards string }{{"0", "0"}, {"40", ""}, {"100", "100"}} {
		x, _ := tickAt(t, svg, "middle", want.across)
		near(t, "across "+want.across, m[1+2*i], x)
		if want.upwards != "" {
			_, y := tickAt(t, svg, "end", want.upwards)
			near(t, "upwards "+want.upwards, m[2+2*i], y)
		}
	}
	x, _ := tickAt(t, svg, "middle", "40")
	_, y := tickAt(t, svg, "end", "60")
	near(t, "reading across", point[1], x)
	near(t, "reading upwards", point[2], y)
}

func near(t *testing.T, what, text string, want float64) {
	t.Helper()
	if got, err := strconv.ParseFloat(text, 64); err != nil || math.Abs(got-want) > 0.11 {
		t.Errorf("%s: at %s, want %.1f", what, text, want)
	}
}

// What is left of a line stays within the distance of all that it had.
func TestThinnedStaysNear(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 200).Draw(rt, "n")
		all := make([]point, n)
		for i := range all {
			all[i] = point{float64(i) * rapid.Float64Range(0, 3).Draw(rt, "dx"), rapid.Float64Range(0, 400).Draw(rt, "y")}
		}
		slices.SortStableFunc(all, func(a, b point) int { return int(math.Copysign(1, a.x-b.x)) })
		kept := thinned(all, 1)
		if kept[0] != all[0] || kept[len(kept)-1] != all[n-1] {
			rt.Fatal("an end is lost")
		}
		for _, p := range all {
			least := math.Inf(1)
			for i := 1; i < len(kept); i++ {
				least = min(least, distance(p, kept[i-1], kept[i]))
			}
			if least > 1+1e-9 {
				rt.Fatalf("%v lies %g away", p, least)
			}
		}
	})
}

// A straight line of a thousand places needs two.
func TestThinnedStraight(t *testing.T) {
	var all []point
	for i := range 1000 {
		all = append(all, point{float64(i), 3 * float64(i)})
	}
	if kept := thinned(all, 0.1); len(kept) != 2 {
		t.Errorf("%d places kept", len(kept))
	}
}

func TestDescribe(t *testing.T) {
	got := describe(ExpectedPrint(Series{Name: "print", X: []float64{0, 50, 100}, Y: []float64{22.345, 60, 95}}, Series{Name: "aim", X: []float64{0, 100}, Y: []float64{-0.5, 95}},
		[]Points{{Name: "readings", X: []float64{1, 2}, Y: []float64{3, 4}}}))
	for _, want := range []string{"Across: picture tone (L*).", "print: 22.3 at 0, 60 at 50, 95 at 100.", "aim: \u22120.5 at 0", "readings: 2."} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in %q", want, got)
		}
	}
	if got := describe(RankedColours(sampleBars(), 1.85)); !strings.Contains(got, "0, 255, 0: at least 2.2.") || !strings.Contains(got, "255, 255, 0: 2.04, 1.98 to 2.1.") {
		t.Errorf("bars are described as %q", got)
	}
}

// Names of guides lie apart, however near the guides are.
func TestGuideNamesLieApart(t *testing.T) {
	f := sampleFigures()["uvdensity"]
	f.Guides = []Guide{GuideAtY("ink range", 2.31), GuideAtY("picture white", 2.30), GuideAtY("needed range", 2.29), GuideAtX("one", 50), GuideAtX("two", 50), GuideAtX("three", 50)}
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`<text class="halo"[^>]*x="([^"]*)" y="([^"]*)"`).FindAllStringSubmatch(drawn(f), -1) {
		if seen[m[1]+" "+m[2]] {
			t.Errorf("two names at %s, %s", m[1], m[2])
		}
		seen[m[1]+" "+m[2]] = true
	}
	if len(seen) != 6 {
		t.Errorf("%d names, want 6", len(seen))
	}
}

// The name of a guide goes where no reading is.
func TestGuideNamesLeaveReadingsFree(t *testing.T) {
	f := ExpectedPrint(Series{Name: "a", X: []float64{0, 100}, Y: []float64{50, 50}}, Series{Name: "b", X: []float64{0, 100}, Y: []float64{50, 50}},
		[]Points{{Name: "p", X: []float64{2, 4, 6, 98, 96}, Y: []float64{53, 53, 53, 53, 53}}})
	f.Guides = []Guide{GuideAtY("aim", 50)}
	m := regexp.MustCompile(`<text class="halo" x="[^"]*" y="([^"]*)">aim<`).FindStringSubmatch(drawn(f))
	y, err := strconv.ParseFloat(m[1], 64)
	if _, line := tickAt(t, drawn(f), "end", "40"); err != nil || y > line {
		t.Fatalf("the name lies at %s", m[1])
	}
	if _, middle := tickAt(t, drawn(f), "end", "60"); y < middle+20 {
		t.Errorf("the name lies at %g, among the readings", y)
	}
}
