package calibration

import (
	"slices"
	"strconv"
	"strings"

	"actinic/process/measure"
)

// eachSheet takes the print of a chart of several pages apart: every page was
// coated and exposed by itself. The step tablet is that of the first page.
func eachSheet(prints []Print) []Print {
	var out []Print
	for _, p := range prints {
		if p.Ramp == nil {
			out = append(out, p)
			continue
		}
		for i, ramp := range pagesOf(p.Ramp) {
			sheet := p
			if sheet.Ramp = ramp; i > 0 {
				sheet.Tablet = nil
			}
			out = append(out, sheet)
		}
	}
	return out
}

// pagesOf returns the readings of each page of a chart as a table of its own, in
// the order of the pages.
func pagesOf(t *measure.Table) []*measure.Table {
	byPage := map[int]*measure.Table{}
	var pages []int
	for _, r := range t.Readings {
		n := pageOf(r)
		if byPage[n] == nil {
			page := *t
			page.Readings = nil
			byPage[n], pages = &page, append(pages, n)
		}
		byPage[n].Readings = append(byPage[n].Readings, r)
	}
	if len(pages) < 2 {
		return []*measure.Table{t}
	}
	slices.Sort(pages)
	out := make([]*measure.Table, len(pages))
	for i, n := range pages {
		out[i] = byPage[n]
	}
	return out
}

// pageOf returns the page that a patch lies on: charts name patch C7 of page 2
// "2-C7". What has no place on a page is on the first.
func pageOf(r measure.Reading) int {
	number, _, found := strings.Cut(r.ID, "-")
	n, err := strconv.Atoi(number)
	if !found || err != nil || n < 2 || !placed(r) {
		return 1
	}
	return n
}
