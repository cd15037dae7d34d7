package chart

import "fmt"

// newChart returns a chart of a kind with everything but its pages.
func (s *Sheet) newChart(kind Kind) *Chart {
	return &Chart{Kind: kind, Seed: s.Seed, Mirrored: s.Mirrored, Made: s.Made, Inputs: s.Inputs}
}

// addPages gives the chart a page for each list of cells, with the patches that
// fill them; marks stand among the cells of every page.
func (c *Chart) addPages(s *Sheet, p *plan, pages [][]cell, marks []Mark, patches []Patch) {
	for i, cells := range pages {
		page := c.addPage(s, p)
		page.Marks = append(page.Marks, marks...)
		for k, at := range cells {
			patch := patches[k]
			patch.Rect = at.at.rect()
			if patch.ID == "" {
				patch.ID = cellName(at.row, at.col)
			}
			patch.ID = onPage(i, patch.ID)
			page.Patches = append(page.Patches, patch)
		}
		patches = patches[len(cells):]
	}
	c.nameCodes()
}

// addPage appends a page with marks, corner patches, window and boxes.
func (c *Chart) addPage(s *Sheet, p *plan) *Page {
	number := len(c.Pages)
	code := p.codeBox().rect()
	page := Page{WidthMM: mm(p.w), HeightMM: mm(p.h), PPI: s.PPI, CodeBox: &code,
		TabletWindow: p.window.optional(), OpaqueBox: p.tape.optional(), Marks: append([]Mark{}, p.marks...)}
	for _, k := range p.corners {
		page.Patches = append(page.Patches, s.cornerPatch(c.Kind, number, k))
	}
	c.Pages = append(c.Pages, page)
	return &c.Pages[number]
}

// cornerPatch is full ink or clear film; on a search for colours it has no
// place on a ramp.
func (s *Sheet) cornerPatch(kind Kind, number int, k corner) Patch {
	ink, device := 0.0, [3]float64{255, 255, 255}
	if k.full {
		ink, device = 100, s.InkColour
	}
	p := Patch{ID: onPage(number, k.id), Rect: k.at.rect(), Device: &device}
	if kind != Colours {
		p.Ink = &ink
	}
	return p
}

// onPage is a patch's name on a page, counted from 0: "C7", "2-C7".
func onPage(page int, id string) string {
	if page == 0 {
		return id
	}
	return fmt.Sprintf("%d-%s", page+1, id)
}

// cellName names a cell by its row's letters and its column's number: "C7".
func cellName(row, col int) string {
	letters := ""
	for n := row + 1; n > 0; n = (n - 1) / 26 {
		letters = string(rune('A'+(n-1)%26)) + letters
	}
	return fmt.Sprintf("%s%d", letters, col+1)
}
