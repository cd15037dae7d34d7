package scan

import (
	"fmt"
	"slices"
	"strings"

	"actinic/negative/chart"
	"actinic/process/fault"
)

const scanHint = "scan the whole sheet, flat and sharp, with no part cut off; or give the four corner marks yourself with --corners"

const otherChartHint = "this is a print of another chart: give the chart.json that was written with its film"

func tooSmall(p *Plane) error {
	return fault.New("", "", fmt.Sprintf("the scan is %d x %d pixels, too few to find the chart's marks in", p.Width, p.Height),
		"scan the whole sheet at 150 to 1200 pixels an inch")
}

func noMarks(c *chart.Chart) error {
	var ids []string
	for _, m := range c.Pages[0].Marks {
		ids = append(ids, m.ID)
	}
	return fault.New("", "", fmt.Sprintf("no three of the chart's marks (%s) were found; it may be another chart", strings.Join(ids, ", ")), scanHint)
}

// marksMissing is the error for a page of which too little is seen.
func marksMissing(l *layout) error {
	found, missing := l.names()
	short := "only " + wereAnd("mark", found) + " found, too few "
	switch {
	case l.count() < leastWithCode:
		short += "to say how the page lies"
	case l.holds():
		short += "without a code that reads"
	default:
		short = wereAnd("mark", found) + " found, too close to one line to say where the rest of the page lies"
	}
	what := wereAnd("mark", missing) + " not found; " + short + "; or it is another chart"
	return fault.New("", "", what, scanHint)
}

// names returns the ids of marks found and of those missing.
func (l *layout) names() (found, missing []string) {
	for i, m := range l.marks {
		if l.found[i] {
			found = append(found, m.ID)
		} else {
			missing = append(missing, m.ID)
		}
	}
	return found, missing
}

// wereAnd returns "mark tl was" or "marks tl, tr and bl were".
func wereAnd(noun string, ids []string) string {
	switch n := len(ids); n {
	case 0:
		return "no " + noun + " was"
	case 1:
		return noun + " " + ids[0] + " was"
	default:
		return noun + "s " + strings.Join(ids[:n-1], ", ") + " and " + ids[n-1] + " were"
	}
}

func anotherChart(code string, c *chart.Chart) error {
	codes := codesOf(c, allPages(c))
	is := codes[0]
	if len(codes) > 1 {
		is = "one of " + strings.Join(codes, ", ")
	}
	return fault.New("", "", fmt.Sprintf("the code on the print is %s, the chart's is %s", code, is),
		otherChartHint)
}

func allPages(c *chart.Chart) []int {
	pages := make([]int, len(c.Pages))
	for i := range pages {
		pages[i] = i
	}
	return pages
}

// undecided is the error for marks that fit in two ways.
func undecided(c *chart.Chart, a, b standing) error {
	if a.page != b.page && slices.Equal(a.layout.pages, b.layout.pages) {
		return fault.New("", "", fmt.Sprintf("the code cannot be read, and the marks do not tell page %d from page %d", a.page+1, b.page+1),
			"scan again at a higher resolution, with the code sharp and clean")
	}
	_, missing := a.layout.names()
	return fault.New("", "", fmt.Sprintf("the marks fit in more than one way, since the code cannot be read and %s not found", wereAnd("mark", missing)), scanHint)
}

func patchesDiffer(l *layout) error {
	return marksOnly(l, "the patches do not follow the chart's and the code cannot be read")
}

func noSquare(l *layout) error {
	return marksOnly(l, "the chart's code is not where it should be")
}

// marksOnly is the error for a page that fits by its marks and by nothing else.
func marksOnly(l *layout, but string) error {
	what := "the marks fit, but " + but + ": it may be another chart"
	if _, missing := l.names(); len(missing) > 0 {
		what += "; " + wereAnd("mark", missing) + " not found"
	}
	return fault.New("", "", what, "give the chart.json that was written with this film; if it is, scan again with the code sharp and clean")
}

func codeUnread(code string) string {
	return fmt.Sprintf("the code on the print cannot be read; the marks and the patches fit the chart: see for yourself that the print says %s", code)
}
