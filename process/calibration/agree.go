package calibration

import (
	"fmt"
	"math"
	"slices"
)

// Difference is a way in which a print may differ from the others of its setup.
type Difference int

// The ways in which prints differ. The first four stand in the order of a
// print's deviations.
const (
	OfPaper    Difference = iota // density of the bare paper
	OfBlack                      // net density
	OfExposure                   // log exposure
	OfContrast                   // log exposure stretched
	OfInk                        // the ink ramp has another shape
	OfCurve                      // the characteristic curve has another shape
	OfStrength                   // all ink stops more or less, in proportion
	differences
)

// String returns the word for the difference in files.
func (d Difference) String() string {
	return [...]string{"paper", "black", "exposure", "contrast", "ink shape", "curve shape", "ink strength"}[d]
}

// Agreement is how one print stands to the others of its setup. Differences count
// from the mean of the other prints, as far as these do not differ themselves.
type Agreement struct {
	Print    int     // counted from 1, in the order given; pages of one chart share it
	Readings string  // name of the file of its ramp, or of its tablet
	Offset   Value   // log exposure against the first print
	Expected Value   // the same by the exposures given; NaN when they are not known
	Contrast Value   // log of the factor on log exposure
	Paper    Value   // print density
	Black    Value   // print density
	Strength Value   // of the ink, log of the factor on UV density
	Shape    float64 // of tone in L*, root mean square over film ink, when all these are taken out

	Differs []Difference // in what the print differs more than honest prints do
	LeftOut bool         // its ramp took no part in the fit
	dropped bool         // nor did its tablet, if it has one
	tablet  bool         // it has a tablet, so that its ink and its paper are told apart
	timed   bool         // its exposure and the first print's are known
	alone   bool         // it is held against one other print
}

// agreement weighs the prints of a fit against each other: what each differs in,
// and by how much. It is nil where fewer than two prints hold a ramp: what tells
// prints apart without one is the tablet's place alone.
func (e *Estimate) agreement() []Agreement {
	if len(e.ramps()) < 2 {
		return nil
	}
	a, ok := newApart(e.fit, e.exposures())
	if !ok {
		return nil
	}
	v := a.verdict()
	if v.mean == nil {
		return nil
	}
	out := make([]Agreement, len(e.prints))
	for k, p := range e.prints {
		out[k] = a.sizes(&v, k)
		out[k].Differs = slices.DeleteFunc(slices.Clone(out[k].Differs), out[k].usual)
		out[k].Print, out[k].Readings, out[k].tablet = p.number, e.sheetName(k), p.Tablet != nil
		out[k].timed = p.Exposure > 0 && e.prints[0].Exposure > 0
	}
	return out
}

// usual says whether a difference is within what honest prints scatter by, however
// sure it is: readings of little noise show what is no matter.
func (g *Agreement) usual(d Difference) bool {
	size, scatter := math.Inf(1), 0.0
	switch d {
	case OfPaper:
		size, scatter = g.Paper.Value, deviationPriors[OfPaper]
	case OfBlack:
		size, scatter = g.Black.Value, honestBlack
	case OfExposure:
		size, scatter = g.Offset.Value-g.Expected.Value, honestExposure
	case OfContrast:
		size, scatter = g.Contrast.Value, deviationPriors[OfContrast]
	}
	return math.Abs(size) < scatter
}

// exposures are those given, 0 where one is not known.
func (e *Estimate) exposures() []float64 {
	out := make([]float64, len(e.prints))
	for k, p := range e.prints {
		out[k] = p.Exposure
	}
	return out
}

// sheetName names the readings of print k, with its page where a chart has several.
func (e *Estimate) sheetName(k int) string {
	page, pages := 0, 0
	for i, p := range e.prints {
		if p.number == e.prints[k].number {
			if pages++; i == k {
				page = pages
			}
		}
	}
	if pages < 2 {
		return e.prints[k].name()
	}
	return fmt.Sprintf("%s, page %d", e.prints[k].name(), page)
}

func (p *Print) name() string {
	if p.Ramp != nil {
		return p.Ramp.Name
	}
	return p.Tablet.Name
}
