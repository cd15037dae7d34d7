package main

import (
	"fmt"
	"io"
	"math"

	"actinic/negative/sheet"
)

// sheeted is what 'sheet' prints with --json.
type sheeted struct {
	Output    string        `json:"output"`
	Film      string        `json:"film"`
	Pages     int           `json:"pages"`
	Negatives int           `json:"negatives"`
	Charts    int           `json:"charts"`
	FilmUsed  float64       `json:"film_used"`
	Placed    []sheetPlaced `json:"placed"`
	Caution   string        `json:"caution"`
	Notices   []string      `json:"notices"`
	Handouts  *handouts     `json:"handouts,omitempty"`
}

// sheetPlaced says where a film lies, in the order of the command line.
type sheetPlaced struct {
	Name     string  `json:"name"`
	Page     int     `json:"page"`
	XMM      float64 `json:"x_mm"`
	YMM      float64 `json:"y_mm"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	Turned   bool    `json:"turned"`
}

// sheetedOf sums up what lies where; names are those of the items.
func sheetedOf(output string, pages []sheet.Page, opts sheet.Options) sheeted {
	r := sheeted{Output: output, Film: opts.Film.String(), Pages: len(pages), Caution: opts.Caution, Notices: []string{}}
	r.FilmUsed = thousandths(sheet.FilmUsed(pages, opts.Film))
	for _, p := range pages {
		r.Notices = append(r.Notices, p.Notices...)
		for _, pl := range p.Placements {
			r.Placed = append(r.Placed, sheetPlaced{})
			if pl.Item.Chart {
				r.Charts++
			} else {
				r.Negatives++
			}
		}
	}
	for _, p := range pages {
		for _, pl := range p.Placements {
			r.Placed[pl.Index] = sheetPlaced{pl.Item.Label.Name, p.Number, thousandths(pl.XMM), thousandths(pl.YMM),
				thousandths(pl.WidthMM), thousandths(pl.HeightMM), pl.Turned}
		}
	}
	return r
}

// thousandths rounds for people: a micrometre, or a tenth of a per cent.
func thousandths(v float64) float64 { return math.Round(v*1000) / 1000 }

// printSheets says what was written.
func (a *app) printSheets(o *sheetOptions, pages []sheet.Page, opts sheet.Options, handed *handouts) error {
	r := sheetedOf(o.out, pages, opts)
	r.Handouts = handed
	for _, n := range r.Notices {
		a.notice("%s", n)
	}
	if o.out == standardStream {
		return nil
	}
	return a.print(r, func(w io.Writer) error { return sheetedText(w, r, pages) })
}

func sheetedText(w io.Writer, r sheeted, pages []sheet.Page) error {
	charts := ""
	if r.Charts > 0 {
		charts = fmt.Sprintf(", charts: %d", r.Charts)
	}
	_, err := fmt.Fprintf(w, "%s: sheets of %s: %d, negatives: %d%s. Film used: %.0f %%.\nPrint at 100 %%, without scaling and without colour management.\n",
		r.Output, r.Film, r.Pages, r.Negatives, charts, 100*r.FilmUsed)
	for _, p := range pages {
		if err == nil && len(r.Placed) > 1 {
			err = sheetText(w, r, p)
		}
	}
	if err == nil {
		_, err = io.WriteString(w, r.Handouts.text())
	}
	return err
}

// sheetText lists what lies on one sheet.
func sheetText(w io.Writer, r sheeted, p sheet.Page) error {
	if _, err := fmt.Fprintf(w, "Sheet %d, %g mm long:\n", p.Number, thousandths(p.HeightMM)); err != nil {
		return err
	}
	for _, pl := range p.Placements {
		at, turned := r.Placed[pl.Index], ""
		if at.Turned {
			turned = ", turned"
		}
		if _, err := fmt.Fprintf(w, "  %s: %.1f x %.1f mm, %.1f mm from the left and %.1f mm from the top%s\n",
			at.Name, at.WidthMM, at.HeightMM, at.XMM, at.YMM, turned); err != nil {
			return err
		}
	}
	return nil
}
