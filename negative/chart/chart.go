package chart

import "time"

// Kind is what a chart is for.
type Kind string

// The kinds of chart.
const (
	Ramp     Kind = "ramp"     // levels of one ink colour
	Colours  Kind = "colours"  // the search for the ink colour
	Tablet   Kind = "tablet"   // marks and a window for a step tablet
	Check    Kind = "check"    // is a new chart needed?
	Exposure Kind = "exposure" // equal areas of clear film, uncovered in turn
)

// Chart is a calibration negative: what is printed where. All positions are in
// millimetres as seen on the finished print, from the page's top-left corner.
type Chart struct {
	Kind Kind
	Seed uint64
	// Mirrored says that the film raster is the page mirrored left to right.
	Mirrored bool
	Made     time.Time
	Inputs   []Input // files that the chart was made from; a calibration, say
	Pages    []Page
	// ExposureUnit is that of each patch's Exposure, "s" or "lamp units"; only on
	// a chart of kind Exposure.
	ExposureUnit string
	// Notices are whole sentences for whoever made the chart; no file has them.
	Notices []string
}

// Input names a file that went into the chart.
type Input struct {
	Name   string `json:"name"` // base name
	SHA256 string `json:"sha256"`
}

// Page is one sheet of film.
type Page struct {
	// Code is the text of the machine-readable code that names chart and page.
	Code              string
	WidthMM, HeightMM float64
	PPI               float64
	Marks             []Mark
	Patches           []Patch
	// TabletWindow is the clear film that a step tablet is laid on; nil if none.
	TabletWindow *Rect
	// OpaqueBox is where opaque tape goes, for the white of the paper itself;
	// nil if none.
	OpaqueBox *Rect
	// CodeBox is the square of the code's modules, without its quiet zone.
	CodeBox *Rect
}

// Rect is a rectangle: X and Y are its top-left corner.
type Rect struct {
	XMM      float64 `json:"x_mm"`
	YMM      float64 `json:"y_mm"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// Mark is a round mark by which a scan is laid on the page: a disc of full ink
// with a clear ring in it, on clear film. X and Y are its centre.
type Mark struct {
	ID         string  `json:"id"`
	XMM        float64 `json:"x_mm"`
	YMM        float64 `json:"y_mm"`
	DiameterMM float64 `json:"diameter_mm"`
}

// A mark from its centre outwards, in shares of its radius: ink up to MarkDot,
// clear film up to MarkRing, ink up to 1, and clear film at least up to
// MarkClear.
const (
	MarkDot   = 0.4
	MarkRing  = 0.7
	MarkClear = 1.3
)

// Patch is an area of one ink.
type Patch struct {
	ID string
	Rect
	// Ink is the film ink in per cent, 0 to 100, where the patch lies on the ink
	// ramp; nil where it does not.
	Ink *float64
	// Device is the printer RGB, 0 to 255; nil only where Ink is given alone.
	Device *[3]float64
	// Exposure is the light the patch is to get, in the chart's ExposureUnit;
	// only on a chart of kind Exposure.
	Exposure *float64
}
