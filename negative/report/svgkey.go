package report

import (
	"fmt"
	"html/template"
	"slices"
	"strings"
)

// figureKey returns the key of a figure as a list: a sample of each mark and what
// it is. It is text of the page, so that it breaks into lines as that does.
func figureKey(f Figure) template.HTML {
	var b strings.Builder
	add := func(name, sample string) {
		fmt.Fprintf(&b, `<li><svg viewBox="0 0 35 16" aria-hidden="true">%s</svg>%s</li>`+"\n", sample, escaped(name))
	}
	number := 0
	for _, s := range f.Series {
		if s.Aim {
			add(s.Name, `<path class="aim" d="M1 8H34"/>`)
			continue
		}
		add(seriesSample(s, number%len(lineColours)))
		number++
	}
	pointKeys(f.Points, add)
	barKeys(f.Bars, add)
	if b.Len() == 0 {
		return ""
	}
	return template.HTML("<ul class=\"key\">\n" + b.String() + "</ul>\n")
}

// seriesSample names a line and shows it on its band.
func seriesSample(s Series, colour int) (name, sample string) {
	line := fmt.Sprintf(`<path class="line c%d" d="M1 8H34"/>`, colour)
	if s.Low == nil {
		return s.Name, line
	}
	return s.Name + ", and its doubt (95 %)", fmt.Sprintf(`<path class="band c%d" d="M1 2H34V14H1Z"/>`, colour) + line
}

func pointKeys(sets []Points, add func(name, sample string)) {
	number := 0
	for _, set := range sets {
		if len(set.X) == 0 {
			continue
		}
		class, shape := markOf(set, number)
		if !set.Spoiled {
			number++
		}
		add(set.Name, fmt.Sprintf(`<path class="%s" d="M17.5 8%s"/>`, class, shape))
	}
}

// barKeys says what the forms of bars mean, of those that are drawn.
func barKeys(bars []Bar, add func(name, sample string)) {
	for _, k := range []struct {
		is           func(Bar) bool
		name, sample string
	}{
		{func(b Bar) bool { return b.Reaches }, "reaches the needed range", `<path class="reach" d="M2 2H33V14H2Z"/>`},
		{func(b Bar) bool { return !b.Reaches }, "does not surely reach it", `<path class="short" d="M2 2H33V14H2Z"/>`},
		{func(b Bar) bool { return !b.Open }, "doubt (95 %)", `<path class="whisker" d="` + whiskerPath(6, 29, 8) + `"/>`},
		{func(b Bar) bool { return b.Open }, "at least", `<path class="whisker" d="M2 2H22L33 8L22 14H2"/>`},
	} {
		if slices.ContainsFunc(bars, k.is) {
			add(k.name, k.sample)
		}
	}
}
