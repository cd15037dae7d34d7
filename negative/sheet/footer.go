package sheet

import "strconv"

const footerGapMM = 1.5

// The two notes on each page that keep it true to size and the right way up.
const (
	noteInkDown = "reads right from above: ink side down"
	noteInkUp   = "reads right from the ink side: not mirrored"
	noteScaling = "print at 100 %: scaling none"
)

// footer is the foot of a page: the level ruler, the notes, the caution. All
// is in millimetres from the top-left corner of the footer, which spans the
// film between its margins.
type footer struct {
	h     float64
	lines []footerLine
}

type footerLine struct {
	x, y float64 // y is the baseline
	text string
}

// planFooter sets the notes of page number of count beside the level ruler
// where the film is wide enough, else under it.
func planFooter(opts Options, f *face, number, count int) footer {
	width := opts.Film.WidthMM - 2*opts.Film.MarginMM
	note := noteInkDown
	if opts.InkUp {
		note = noteInkUp
	}
	var ft footer
	x, ruler := 0.0, 0.0
	if opts.Rulers {
		ruler = rulerDepthMM
		if beside := 100 + 2*rulerEndMM + 2; width-beside >= 60 {
			x, ruler = beside, 0
		}
		ft.h = rulerDepthMM
	}
	filmName, _ := f.clean(opts.Film.String())
	page := "sheet " + itoa(number) + " of " + itoa(count)
	y := ft.add(f.join([]string{note, noteScaling, page, filmName}, smallPt, width-x), x, ruler)
	caution, _ := f.clean(opts.Caution)
	y = ft.add(f.wrap(caution, smallPt, width), 0, max(y, ft.h))
	ft.h = max(y, ft.h)
	return ft
}

// add sets lines from x, y down and returns where they end.
func (ft *footer) add(lines []string, x, y float64) float64 {
	for _, line := range lines {
		ft.lines = append(ft.lines, footerLine{x, y + smallLineMM*0.8, line})
		y += smallLineMM
	}
	return y
}

func itoa(n int) string { return strconv.Itoa(n) }
