package calibration

import (
	"math"

	"actinic/process/measure"
	"actinic/process/printer"
)

// ColourPrint is what was read from one contact print of a chart of printer
// colours, with the step tablet that was printed beside them.
type ColourPrint struct {
	Colours *measure.Table // kind Colours
	Tablet  *measure.Table // kind Tablet; every print needs its own
	CutOut  bool           // the tablet lay in a cut-out of the film, not over it
	// Exposure is what the print was given, in a unit that all prints share; 0
	// when it is not known.
	Exposure float64
}

// Colours is a fit to prints of printer colours: the UV density of every colour
// as the paper sees it, and the characteristic curve it was found through.
type Colours struct {
	// Estimate is the fit to the step tablets, with one deviation for each sheet:
	// a page of a chart of several is a sheet of its own.
	Estimate *Estimate
	Measured []MeasuredColour // in the order of their first reading
	Prints   []PrintOfColours // in the order given
	Outliers []Outlier        // readings that were given little weight
	Flagged  []FlaggedTable   // readings that their file flags
	Low      float64          // the least and the most UV density that the prints reach
	High     float64
	// TabletShare is the doubt that all UV densities share with the nominal
	// densities of the tablet, as a share of them; 0 where these were measured.
	TabletShare float64

	Unevenness *Unevenness // of the sheets; nil where none says where its patches lie

	fit *colourFit
}

// MeasuredColour is one printer colour and what it stops. Beyond the prints' reach
// UVDensity and SD are NaN and one bound or both are known.
type MeasuredColour struct {
	Patches []string // names of its readings, print by print
	RGB     printer.RGB
	// UVDensity is net above clear film; SD its standard uncertainty, of which
	// PatchSD is what this colour shares with no other.
	UVDensity, SD, PatchSD float64
	// AtLeast and AtMost hold the truth 95 times in 100; NaN where there is no bound.
	AtLeast, AtMost float64
}

// Known says whether the prints reach the colour.
func (c MeasuredColour) Known() bool { return !math.IsNaN(c.UVDensity) }

// PrintOfColours is what was found of one print.
type PrintOfColours struct {
	Offset   Value   // log exposure against the first print
	Contrast Value   // log exposure stretched by 1 + this about log exposure -1
	Noise    float64 // standard deviation of one reading of a patch, in Unit
	Unit     measure.Unit
	Given    float64 // exposure as given; 0 when not known
	// Low and High bound the UV densities that a reading of this print tells to
	// mostDoubt; NaN where none is.
	Low, High float64
}

// mostDoubt is the doubt of UV density from which on a colour is no number but a
// bound: a third of a stop (a working value of ours).
const mostDoubt = 0.1

// FitColours finds the UV density of every printer colour on one or several
// contact prints of a chart of colours, by matching print tones through the
// characteristic curve that the step tablets fix. Exposures may differ: what is
// too dark to tell in one print is read from another, each weighted by how much
// it tells. Readings of one colour are merged, clear film joins the tablets as a
// step of no density, and the sheets' paper, black, exposure and contrast may
// differ by what honest prints do.
//
// A colour is a number where its doubt is at most 0.1 and its print tone lies
// within what the tablets span, and a 95 % bound elsewhere. Flagged readings are
// left out. Where patches say where they lie, uneven light and coating are taken
// out of them.
//
// A print without a tablet or given twice, a table of another kind, a tablet that
// makes no curve, and prints that contradict each other are a *fault.Error.
func FitColours(prints []ColourPrint, o *Options) (*Colours, error) {
	if o == nil {
		o = &Options{}
	}
	prints, flagged, err := checkColours(prints, o)
	if err != nil {
		return nil, err
	}
	f := &colourFit{prints: prints, options: o}
	if f.sheets, f.reversed, err = colourSheets(prints, o.Falling); err != nil {
		return nil, err
	}
	f.uneven = newSurfaces(make([]Print, len(f.sheets)), true) // even, to begin with
	for k, s := range f.sheets {
		if s.tablet == nil {
			f.loose = append(f.loose, k)
		}
	}
	if err := f.fitTablets(); err != nil {
		return nil, err
	}
	f.collect()
	if err := f.solve(); err != nil {
		return nil, err
	}
	if err := f.checkAgreement(); err != nil {
		return nil, err
	}
	c := &Colours{Estimate: f.estimate, Flagged: flagged, TabletShare: f.estimate.tabletScaleDoubt(), fit: f}
	c.fill()
	return c, nil
}

// PrinterColours returns the colours as the printer's model, ranking and blend
// take them. Their doubt leaves out what they share with a nominal tablet: it
// does not tell one colour from another, nor from a range read off the same
// tablet.
func (c *Colours) PrinterColours() []printer.Colour {
	out := make([]printer.Colour, len(c.Measured))
	for i, m := range c.Measured {
		out[i] = printer.Colour{RGB: m.RGB, UVDensity: m.UVDensity, SD: c.withoutTablet(m), AtLeast: m.AtLeast, AtMost: m.AtMost}
	}
	return out
}

// withoutTablet is a colour's doubt without that of a nominal tablet.
func (c *Colours) withoutTablet(m MeasuredColour) float64 {
	shared := c.TabletShare * m.UVDensity
	return math.Sqrt(math.Max(m.PatchSD*m.PatchSD, m.SD*m.SD-shared*shared))
}
