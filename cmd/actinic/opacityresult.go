package main

import (
	"cmp"
	"slices"

	"actinic/process/calibration"
	"actinic/process/printer"
	"actinic/process/recipe"
)

// opacityResult is what 'opacity' prints with --json. Everything from prints is
// null or empty where only spectra were given.
type opacityResult struct {
	File        string                   `json:"inks"`
	Exposure    string                   `json:"exposure_unit"`
	Prints      []calibration.InksPrints `json:"prints"`
	Readings    int                      `json:"readings"`
	Colours     int                      `json:"colours"`
	Numbers     int                      `json:"colours_read"`
	Low         *float64                 `json:"reach_from"`
	High        *float64                 `json:"reach_to"`
	NeededRange *calibration.InksRange   `json:"needed_range"`
	InkColour   *calibration.ColourCode  `json:"ink_colour"`
	Ranking     []printer.Ranked         `json:"ranking"`
	Densest     []calibration.InkColour  `json:"densest"`
	Shortfall   *float64                 `json:"shortfall"`
	Blend       *calibration.InksBlend   `json:"blend"`
	Model       *calibration.InksPrinter `json:"model"`
	Unevenness  *calibration.Unevenness  `json:"unevenness"`
	Outliers    []calibration.Outlier    `json:"outliers"`
	Spectral    *calibration.Spectral    `json:"spectral"`
	Advice      []recipe.Statement       `json:"advice"`
	Warnings    []string                 `json:"warnings"`
	Cautions    []string                 `json:"cautions"`
	Notices     []string                 `json:"notices"`

	ranked   *printer.Ranked // the ink colour's place in the whole ranking; nil if none
	chosen   bool            // the ink colour was asked for
	straight bool            // the straight line was asked for
}

// sumUp takes from the inks what is told. The first of their cautions, so many,
// are of the process and not of the readings.
func (r *opacityResult) sumUp(o *opacityOptions, k *calibration.Inks, ofProcess int, card recipe.Card) {
	r.File, r.Exposure, r.Prints = o.out, k.Exposure.Unit, k.Exposure.Prints
	q := k.Quality
	r.Readings, r.Colours, r.Numbers, r.Low, r.High = q.Readings, q.Colours, q.Numbers, &q.Low, &q.High
	r.NeededRange, r.InkColour, r.Blend, r.Model = k.NeededRange, k.InkColour, k.Blend, k.Printer
	r.Unevenness, r.Outliers = q.Unevenness, q.Outliers
	r.Cautions, r.Warnings = k.Cautions[:ofProcess], k.Cautions[ofProcess:]
	r.chosen, r.straight = o.colour.said, o.blend == blendStraight
	r.Densest = densest(k.Colours, o.top)
	if k.Ranking != nil {
		r.Ranking, r.Shortfall = k.Ranking.ShortList(o.top), &k.Ranking.Shortfall
		r.ranked = k.Ranking.Find(k.InkColour.RGB())
		if len(r.Ranking) == 0 {
			r.Ranking = k.Ranking.Colours[:min(o.top, len(k.Ranking.Colours))]
		}
	}
	r.Advice = shortfallAdvice(k, card)
	if len(r.Cautions) == 0 {
		r.Cautions = []string{recipe.GeneralCaution()}
	}
}

// densest returns up to n of the colours that stop most; those known only to stop
// at least so much stand among them by that.
func densest(colours []calibration.InkColour, n int) []calibration.InkColour {
	stops := func(c calibration.InkColour) float64 {
		switch {
		case c.UVDensity != nil:
			return *c.UVDensity
		case c.AtLeast != nil:
			return *c.AtLeast
		}
		return 0
	}
	sorted := slices.Clone(colours)
	slices.SortStableFunc(sorted, func(a, b calibration.InkColour) int { return cmp.Compare(stops(b), stops(a)) })
	return sorted[:min(n, len(sorted))]
}

// emptyLists makes lists of nothing empty, not null, in JSON.
func (r *opacityResult) emptyLists() {
	r.Prints, r.Outliers = append([]calibration.InksPrints{}, r.Prints...), append([]calibration.Outlier{}, r.Outliers...)
	r.Ranking, r.Densest = append([]printer.Ranked{}, r.Ranking...), append([]calibration.InkColour{}, r.Densest...)
	r.Advice = append([]recipe.Statement{}, r.Advice...)
	for _, list := range []*[]string{&r.Warnings, &r.Cautions, &r.Notices} {
		*list = append([]string{}, *list...)
	}
}
