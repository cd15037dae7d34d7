package handout

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestFlowLosesNothing: every row comes once, in order, inside its column, and
// none lies over another.
func TestFlowLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) row {
			return row{gapMM: rapid.Float64Range(0, 4).Draw(t, "gap"), heightMM: rapid.Float64Range(1, 9).Draw(t, "height"), keep: rapid.Bool().Draw(t, "keep")}
		}), 0, 120).Draw(t, "rows")
		height := rapid.Float64Range(20, 90).Draw(t, "page")
		next := 0
		for _, spots := range flow(rows, func(int) []area { return []area{{10, 5, height}, {80, 5, height}} }) {
			x, bottom := 0.0, math.Inf(-1)
			for _, s := range spots {
				if s.x != x {
					x, bottom = s.x, math.Inf(-1)
				}
				if s.row != &rows[next] {
					t.Fatalf("row %d is not the next one", next)
				}
				if s.y < bottom-1e-9 || s.y < 5 || s.y+s.row.heightMM > 5+height+1e-6 {
					t.Fatalf("row %d at %g, %g lies outside or over another", next, s.x, s.y)
				}
				bottom = s.y + s.row.heightMM
				next++
			}
		}
		if next != len(rows) {
			t.Fatalf("%d of %d rows", next, len(rows))
		}
	})
}

// TestHeadingsStay: a heading is never the last row of a column.
func TestHeadingsStay(t *testing.T) {
	rows := make([]row, 40)
	for i := range rows {
		rows[i] = row{heightMM: 5, keep: i%4 == 0}
	}
	for height := 20.0; height < 90; height++ {
		for _, spots := range flow(rows, func(int) []area { return []area{{0, 0, height}, {50, 0, height}} }) {
			for i, s := range spots {
				if s.row.keep && (i == len(spots)-1 || spots[i+1].x != s.x) {
					t.Fatalf("page of %g mm: a heading ends a column", height)
				}
			}
		}
	}
}

// TestWrap: no word is lost, no line is wider than the column.
func TestWrap(t *testing.T) {
	p := newPen(Options{Paper: papers[0]})
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-z0-9]{1,12}`), 1, 40).Draw(t, "words")
		width := rapid.Float64Range(30, 90).Draw(t, "width")
		var back []string
		for _, l := range p.wrap(say(strings.Join(words, " "), body), width) {
			last := len(l.words) - 1
			if end := l.at[last] + p.width(l.words[last].text, body); end > width+1e-9 {
				t.Fatalf("a line of %g mm in %g", end, width)
			}
			for _, w := range l.words {
				back = append(back, w.text)
			}
		}
		if got := flat(strings.Join(back, " ")); got != strings.Join(words, " ") {
			t.Fatalf("text changed to %q", got)
		}
	})
	if got := p.wrap(say("expose for 10 min", body), p.width("expose for 10", body)); len(got) != 2 || got[1].words[0].text != "10"+keep+"min" {
		t.Errorf("a number was parted from its unit: %v", got)
	}
	if got := p.wrap(say(strings.Repeat("x", 500), body), 40); len(got) != 1 || p.width(got[0].words[0].text, body) > 40 {
		t.Error("a word longer than its line was not cut")
	}
}
