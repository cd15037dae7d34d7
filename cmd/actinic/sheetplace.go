package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/chart"
	"actinic/negative/sheet"
	"actinic/process/fault"
	"actinic/process/recipe"
)

// place returns the items of all films and what the films say of themselves.
func (o *sheetOptions) place(p *batch.Placing, args []string) ([]sheet.Item, []batch.Description, error) {
	var items []sheet.Item
	var films []batch.Description
	for _, name := range args {
		it, about, err := o.placeOne(p, name)
		if err != nil {
			return nil, nil, err
		}
		items, films = append(items, it), append(films, about)
	}
	return items, films, nil
}

// placeOne returns the item of a film, or of a chart's page.
func (o *sheetOptions) placeOne(p *batch.Placing, name string) (sheet.Item, batch.Description, error) {
	page, isChart, err := chartPageOf(name)
	if err != nil {
		return sheet.Item{}, batch.Description{}, err
	}
	if isChart {
		p = &batch.Placing{WidthMM: page.WidthMM, HeightMM: page.HeightMM}
	}
	it, about, err := p.Place(name)
	it.Chart, about.Chart, it.Same = isChart, isChart, name
	about.NotMirrored = about.NotMirrored || o.noMirror && !isChart
	return it, about, err
}

// chartPageName is the name of the TIFF of a chart of several pages.
var chartPageName = regexp.MustCompile(`^(.+)-([1-9][0-9]?)$`)

// chartPageOf returns the page of a chart whose TIFF the user names, if its chart
// file lies beside it; its size there is exact, that of the pixels is rounded.
func chartPageOf(name string) (p chart.Page, ok bool, err error) {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	if c, err := chartBeside(stem); c != nil || err != nil {
		if err == nil && len(c.Pages) == 1 {
			return c.Pages[0], true, nil
		}
		return p, false, err
	}
	m := chartPageName.FindStringSubmatch(stem)
	if m == nil {
		return p, false, nil
	}
	c, err := chartBeside(m[1])
	n := 0
	_, _ = fmt.Sscan(m[2], &n)
	if err != nil || c == nil || n > len(c.Pages) || len(c.Pages) == 1 {
		return p, false, err
	}
	return c.Pages[n-1], true, nil
}

// chartBeside returns the chart of a stem, or nil where there is no file of it.
func chartBeside(stem string) (*chart.Chart, error) {
	name := stem + ".chart.json"
	f, err := os.Open(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fault.New(name, "", "can't be opened: "+err.Error(), "")
	}
	defer f.Close()
	return chart.Decode(f, name)
}

// sheetOptions gathers what all pages share.
func (a *app) sheetOptions(o *sheetOptions, films []batch.Description, process string) (sheet.Options, error) {
	film, err := sheet.ParseFilmOrRoll(string(o.film))
	if err != nil {
		return sheet.Options{}, err
	}
	if o.marginGiven {
		film.MarginMM = o.margin
	}
	inkUp, err := batch.SameSide(films)
	if err != nil {
		return sheet.Options{}, err
	}
	date, err := a.made()
	return sheet.Options{Film: film, GapMM: o.gap, Date: date, Title: films[0].Name, InOrder: o.order, NoTurn: o.rotate == "no", CutMarks: o.cutMarks,
		Caution: cautionOf(films, process), Rulers: !o.noRulers, Depth: o.depth, InkUp: inkUp}, err
}

// cautionOf returns the short caution of the process that all films share, else
// the general one. Charts name no process.
func cautionOf(films []batch.Description, process string) string {
	films = slices.DeleteFunc(slices.Clone(films), func(f batch.Description) bool { return f.Chart })
	for i, f := range films {
		name := f.Process
		if name == "" {
			name = process
		}
		if i > 0 && name != process {
			return recipe.GeneralCaution()
		}
		process = name
	}
	if card, known := cardOf(process); known {
		return card.ShortCaution()
	}
	return recipe.GeneralCaution()
}
