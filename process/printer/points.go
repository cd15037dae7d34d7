package printer

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// Point is one reading of one colour: its UV density as one patch of one print
// tells it. Several points may have the same colour.
type Point struct {
	RGB RGB
	// UVDensity is net above clear film, log10; NaN where the patch lies beyond
	// the reach of its print, and then AtLeast or AtMost is known.
	UVDensity float64
	// SD is the standard uncertainty of this reading alone, above 0; for a bound,
	// how sharp it is, 0 or NaN meaning the usual.
	SD float64
	// Shared is the standard uncertainty that readings of a like UV density have in
	// common, 0 or more; not part of SD. Predictions carry it, however many readings
	// there are.
	Shared float64
	// AtLeast and AtMost are bounds; NaN is none.
	AtLeast, AtMost float64
	// Terms are what the nuisance coefficients are multiplied with in this
	// reading, one a value of Options.TermSD; nil is all 0.
	Terms []float64
}

// Options says what is known of the readings beside their values.
type Options struct {
	// TermSD is the standard deviation of each nuisance coefficient about 0
	// before any reading.
	TermSD []float64
}

// Sizes that are checked before memory is taken.
const (
	mostPoints  = 100_000
	mostColours = 10_000
	mostTerms   = 500
)

// fewestColours is how many different colours other than clear film must be
// known as numbers: the seven corners of the cube, of which one may be missing
// (a working value of ours).
const fewestColours = 6

// largestUVDensity is beyond what any print tells, so that a larger number is a
// mistake (a working value of ours).
const largestUVDensity = 20

// checkPoints refuses readings that no model can be made of.
func checkPoints(points []Point, o *Options) error {
	if len(points) > mostPoints {
		return fault.New("", "", fmt.Sprintf("found %d readings of colours, expected at most %d", len(points), mostPoints), "leave out some of the prints")
	}
	if len(o.TermSD) > mostTerms {
		return fault.New("", "", fmt.Sprintf("found %d unknowns beside the colours, expected at most %d", len(o.TermSD), mostTerms), "leave out some of the prints")
	}
	for k, sd := range o.TermSD {
		if !(sd > 0 && sd <= 1e6) {
			panic(fmt.Sprintf("printer: TermSD %d is %v", k, sd))
		}
	}
	for i := range points {
		if what := points[i].wrong(len(o.TermSD)); what != "" {
			return fault.New("", fmt.Sprintf("colour %d", i+1), what, "")
		}
	}
	return nil
}

// wrong says what is wrong with a point, "" if nothing.
func (p *Point) wrong(terms int) string {
	for _, v := range p.RGB {
		if !(v >= 0 && v <= 255) {
			return fmt.Sprintf("found the printer colour %v, expected three values of 0 to 255", p.RGB)
		}
	}
	if p.Terms != nil && len(p.Terms) != terms {
		return fmt.Sprintf("found %d terms, expected %d", len(p.Terms), terms)
	}
	for _, z := range p.Terms {
		if !(math.Abs(z) <= 1e6) {
			return fmt.Sprintf("found the term %v, expected a number of ordinary size", z)
		}
	}
	if p.known() {
		return p.wrongNumber()
	}
	return p.wrongBound()
}

func (p *Point) wrongNumber() string {
	if !(math.Abs(p.UVDensity) <= largestUVDensity) {
		return fmt.Sprintf("found the UV density %v, expected at most %d", p.UVDensity, largestUVDensity)
	}
	if !(p.SD > 0 && p.SD <= 1e6) {
		return fmt.Sprintf("found %v as doubt of the UV density, expected a number above 0", p.SD)
	}
	if !(p.Shared >= 0 && p.Shared <= 1e6) {
		return fmt.Sprintf("found %v as shared doubt of the UV density, expected 0 or more", p.Shared)
	}
	return ""
}

func (p *Point) wrongBound() string {
	if math.IsNaN(p.AtLeast) && math.IsNaN(p.AtMost) {
		return "found neither UV density nor a bound of it"
	}
	for _, b := range []float64{p.AtLeast, p.AtMost} {
		if math.Abs(b) > largestUVDensity {
			return fmt.Sprintf("found a UV density of at least or at most %v, expected no more than %d", b, largestUVDensity)
		}
	}
	if p.AtLeast > p.AtMost {
		return fmt.Sprintf("found a UV density of at least %v and at most %v", p.AtLeast, p.AtMost)
	}
	if p.SD < 0 || p.SD > 1e6 {
		return fmt.Sprintf("found %v as doubt of a bound, expected 0 or more", p.SD)
	}
	return ""
}

// known says whether the reading is a number.
func (p *Point) known() bool { return !math.IsNaN(p.UVDensity) }
