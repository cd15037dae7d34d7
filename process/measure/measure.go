package measure

import (
	"io"
	"math"
	"path/filepath"
	"slices"

	"actinic/process/density"
	"actinic/process/measure/delimited"
	"actinic/process/sensitometry"
	"actinic/process/tablet"
)

// Unit is the unit of a print column.
type Unit int

const (
	InDensity   Unit = iota // print density, log10, paper included
	InLightness             // CIE L*, 0 to 100
)

// String returns "density" or "L*".
func (u Unit) String() string {
	if u == InLightness {
		return "L*"
	}
	return "density"
}

// Kind is what a file of measurements holds.
type Kind int

const (
	Tablet    Kind = iota // patches exposed through a step tablet
	Ramp                  // patches exposed through steps of film ink
	Colours               // patches exposed through ink colours, by printer code values
	Spectra               // curves over wavelength
	Exposures             // patches exposed through clear film, each for its own time
	Patches               // patches by name alone (Options.ByPatch): a chart says what they are
)

// String names the kind as messages do: "a step tablet".
func (k Kind) String() string {
	return [...]string{"a step tablet", "an ink ramp", "ink colours", "spectra",
		"a test strip of exposures", "patches without their inks"}[k]
}

// Reading is one measured patch of a print. Figures that the file does not give
// are NaN unless said otherwise.
type Reading struct {
	ID    string // step or patch
	Line  int    // line of the file
	Strip string // tells several tablets on one print apart; "" if there is one

	Tablet    density.Density // density of the tablet step; NaN unless a tablet reading
	TabletSD  float64         // its standard uncertainty, log10; NaN if the file gave the density as measured
	Ink       float64         // film ink, %; NaN unless a ramp reading
	Device    [3]float64      // printer code values, 0 to 255
	HasDevice bool
	// Exposure is the light the patch was given: 0 is unexposed paper. Its Unit is
	// that of the whole table, and "" unless an exposure reading.
	Exposure sensitometry.Exposure

	Value  float64 // the print, in Unit
	Unit   Unit
	SD     float64 // standard uncertainty of Value, in Unit
	Spread float64 // standard deviation of the pixels, in Unit
	Count  int     // pixels or repeats behind Value; 0 if not given
	LabA   float64 // CIE a* and b* of the print
	LabB   float64

	XMM, YMM float64 // centre of the patch on the nominal page
	Flag     string
}

// Density returns the print density of the reading; +Inf where L* is 0.
func (r Reading) Density() density.Density {
	if r.Unit == InLightness {
		return density.Lightness(r.Value).Density()
	}
	return density.Density(r.Value)
}

// Lightness returns the L* of the print.
func (r Reading) Lightness() density.Lightness {
	if r.Unit == InLightness {
		return density.Lightness(r.Value)
	}
	return density.Density(r.Value).Lightness()
}

// Table is a file of measurements.
type Table struct {
	Kind   Kind
	File   string // as the user gave it, for messages
	Name   string // base name of File
	SHA256 string // of the bytes read, in hexadecimal
	Unit   Unit   // of every reading

	Readings []Reading // in the order of the file; nil for spectra

	WavelengthsNM []float64 // spectra only: rising
	Samples       []Sample

	Notices []string // what was taken for granted, one sentence each
	// Comments are lines that WriteCSV puts before the header; they are not read
	// back, but for NominalTablet.
	Comments []string
}

// Sample is one spectrum; Values belong to the table's wavelengths.
type Sample struct {
	Name   string
	Values []float64 // transmittance 0 to 1, or relative (Options.RelativeSpectra)
}

// Strips returns the names of the strips in the order of the file; a table
// without a strip column has the one strip "".
func (t *Table) Strips() []string {
	var names []string
	for _, r := range t.Readings {
		if !slices.Contains(names, r.Strip) {
			names = append(names, r.Strip)
		}
	}
	return names
}

// Options say what the file itself does not. Nil means none of it.
type Options struct {
	// Steps is the notation of the step tablet, "21x0.15+0.05", for readings
	// without a column of tablet densities.
	Steps string
	// Tablet is the same as a ready tablet, calibrated perhaps; it goes before
	// Steps.
	Tablet *tablet.Tablet
	// RelativeSpectra lifts the bound on spectra: lamps and sensitisers come in
	// any unit of power, films and inks as transmittance.
	RelativeSpectra bool
	// ByPatch takes patches whose columns do not say what they are, as kind
	// Patches: an instrument knows their names, and a chart the rest.
	ByPatch bool
}

// tablet returns the tablet that the options name, or nil.
func (o *Options) tablet() (*tablet.Tablet, error) {
	switch {
	case o == nil:
		return nil, nil
	case o.Tablet != nil:
		return o.Tablet, nil
	case o.Steps == "":
		return nil, nil
	}
	t, err := tablet.Parse(o.Steps)
	return &t, err
}

// ReadFile reads the measurements in the file at path; see Read.
func ReadFile(path string, opts *Options) (*Table, error) {
	text, err := delimited.LoadFile(path)
	if err != nil {
		return nil, err
	}
	return fromText(text, opts)
}

// Read reads measurements from r to its end, as CSV or ISO 28178 text, whichever
// it is. name is the file's name for messages. Every error is a *fault.Error.
func Read(r io.Reader, name string, opts *Options) (*Table, error) {
	text, err := delimited.Load(r, name)
	if err != nil {
		return nil, err
	}
	return fromText(text, opts)
}

func fromText(text *delimited.Text, opts *Options) (*Table, error) {
	t := &Table{File: text.File, Name: filepath.Base(text.File), SHA256: text.SHA256}
	tab, err := opts.tablet()
	if err != nil {
		return nil, err
	}
	g := &grid{col: map[string]int{}, tablet: tab, byPatch: opts != nil && opts.ByPatch}
	if isISO28178(text) {
		err = g.fromISO(text)
	} else {
		err = g.fromCSV(text)
	}
	if err != nil {
		return nil, err
	}
	if t.Kind = g.kind; t.Kind == Spectra {
		return t, g.spectra(t, opts != nil && opts.RelativeSpectra)
	}
	return t, g.fill(t)
}

// Blank returns a reading with every figure absent.
func Blank() Reading {
	nan := math.NaN()
	return Reading{
		Tablet: density.Density(nan), TabletSD: nan, Ink: nan, Value: nan,
		SD: nan, Spread: nan, LabA: nan, LabB: nan, XMM: nan, YMM: nan,
	}
}
