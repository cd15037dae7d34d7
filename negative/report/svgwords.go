package report

import (
	"fmt"
	"strconv"
	"strings"
)

// describe says in words what a figure shows, for who does not see it: each line
// at its ends and in the middle, how many readings, the guides, the bars.
func describe(f Figure) string {
	var out []string
	if f.X.Label != "" {
		out = append(out, "Across: "+f.X.Label+".")
	}
	if f.Y.Label != "" {
		out = append(out, "Upwards: "+f.Y.Label+".")
	}
	for _, s := range f.Series {
		n := len(s.X)
		out = append(out, fmt.Sprintf("%s: %s at %s, %s at %s, %s at %s.", s.Name, short(s.Y[0]), short(s.X[0]),
			short(s.Y[n/2]), short(s.X[n/2]), short(s.Y[n-1]), short(s.X[n-1])))
	}
	for _, p := range f.Points {
		if len(p.X) > 0 {
			out = append(out, fmt.Sprintf("%s: %d.", p.Name, len(p.X)))
		}
	}
	for _, g := range upright(f.Guides) {
		out = append(out, fmt.Sprintf("%s at %s across.", g.Name, short(g.X)))
	}
	for _, g := range level(f.Guides) {
		out = append(out, fmt.Sprintf("%s at %s upwards.", g.Name, short(g.Y)))
	}
	for _, b := range f.Bars {
		out = append(out, b.words())
	}
	return strings.Join(out, " ")
}

func (b Bar) words() string {
	if b.Open {
		return fmt.Sprintf("%s: at least %s.", b.Name, short(b.Value))
	}
	return fmt.Sprintf("%s: %s, %s to %s.", b.Name, short(b.Value), short(b.Low), short(b.High))
}

// short writes a number to three digits.
func short(v float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strings.Replace(strconv.FormatFloat(rounded+0, 'f', -1, 64), "-", "\u2212", 1)
}
