package scan

import (
	"cmp"
	"slices"

	"actinic/negative/chart"
)

// How many marks a page must show: with three, the code must say the rest.
const (
	leastMarks    = 4
	leastWithCode = 3
)

// notFound is the error for a scan in which no page can be laid.
func notFound(p *Plane, c *chart.Chart, failed []layout) error {
	if code := foreignCode(p, c, failed); code != "" {
		return anotherChart(code, c)
	}
	if len(failed) == 0 {
		return noMarks(c)
	}
	most := slices.MaxFunc(failed, func(a, b layout) int { return cmp.Compare(a.count(), b.count()) })
	if most.count() < 2 {
		return noMarks(c)
	}
	return marksMissing(&most)
}

// toldByCode reports whether the code names the page and the marks hold it.
func (l *layout) toldByCode() bool {
	return l.page >= 0 && l.count() >= leastWithCode && l.holds()
}

// foreignCode returns the code of another chart if one can be read, "" if none.
func foreignCode(p *Plane, c *chart.Chart, layouts []layout) string {
	for i := range layouts {
		if layouts[i].other != "" {
			return layouts[i].other
		}
	}
	if !codeExpected(c) {
		return ""
	}
	return otherCode(p.findCode(layouts), c)
}

// codeExpected reports whether any page has a code.
func codeExpected(c *chart.Chart) bool {
	return slices.ContainsFunc(c.Pages, func(p chart.Page) bool { return p.CodeBox != nil })
}

// readCode notes which page the code in the place of the page's code names, -1 if
// none, and the text of a chart's code that is none of c's.
func (l *layout) readCode(p *Plane, c *chart.Chart) {
	l.page, l.other = -1, ""
	for _, i := range l.pages {
		if c.Pages[i].CodeBox == nil {
			continue
		}
		seen := p.seeCode(l.warp, *c.Pages[i].CodeBox)
		if seen.frame < leastFrame {
			continue
		}
		if text, ok := seen.decode(); ok {
			if page := pageOf(c, text); slices.Contains(l.pages, page) {
				l.page = page
				return
			}
			if l.other = otherCode(text, c); l.other != "" {
				return
			}
		}
		if k := seen.says(codesOf(c, l.pages)); k >= 0 {
			l.page = l.pages[k]
			return
		}
	}
}

// pageOf returns which page has a code, -1 if none.
func pageOf(c *chart.Chart, code string) int {
	return slices.IndexFunc(c.Pages, func(p chart.Page) bool { return p.Code == code })
}

func codesOf(c *chart.Chart, pages []int) []string {
	codes := make([]string, len(pages))
	for k, i := range pages {
		codes[k] = c.Pages[i].Code
	}
	return codes
}

// otherCode returns text if it is a chart's code and none of c's, else "".
func otherCode(text string, c *chart.Chart) string {
	if isChartCode(text) && pageOf(c, text) < 0 {
		return text
	}
	return ""
}

// standing is a layout taken for one of its pages.
type standing struct {
	layout *layout
	page   int
	follow following
}

// chooseByMarks takes the page that most marks bear out, if it is one only and
// no code says that it is another chart's.
func chooseByMarks(p *Plane, c *chart.Chart, layouts []layout) (*Located, error) {
	slices.SortStableFunc(layouts, func(a, b layout) int { return cmp.Compare(b.count(), a.count()) })
	if code := foreignCode(p, c, layouts); code != "" {
		return nil, anotherChart(code, c)
	}
	best := &layouts[0]
	if best.count() < leastMarks || !best.holds() {
		return nil, marksMissing(best)
	}
	var all []standing
	for i := range layouts {
		// One mark may be dust: only a layout with two fewer is out of the question.
		if l := &layouts[i]; l.count() >= max(leastMarks, best.count()-1) && l.holds() {
			all = append(all, l.standings(p, c)...)
		}
	}
	slices.SortStableFunc(all, func(a, b standing) int { return cmp.Compare(b.follow.rank, a.follow.rank) })
	first := all[0]
	if len(all) > 1 && !first.follow.clearlyAbove(all[1].follow) {
		return nil, undecided(c, first, all[1])
	}
	if first.follow.contradicts() {
		return nil, patchesDiffer(first.layout)
	}
	found := first.layout.located(first.page, false)
	if box := c.Pages[first.page].CodeBox; box != nil {
		if !first.layout.hasSquare(p, *box) {
			return nil, noSquare(first.layout)
		}
		found.Notices = append(found.Notices, codeUnread(c.Pages[first.page].Code))
	}
	return found, nil
}

// standings returns the layout as each of its pages.
func (l *layout) standings(p *Plane, c *chart.Chart) []standing {
	var all []standing
	for _, i := range l.pages {
		all = append(all, standing{l, i, l.follow(p, &c.Pages[i])})
	}
	return all
}
