package calibration

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"time"

	"actinic/process/document"
	"actinic/process/printer"
)

// The file's name for itself.
const (
	FileFormat  = "actinic calibration"
	FileVersion = 4
)

// fileForm is the calibration's file; ours are under 300 kB.
var fileForm = document.Form{Format: FileFormat, Version: FileVersion, Noun: "a calibration", Command: "actinic curve",
	File: "NAME.calibration.json", MostMiB: 32}

// Input names a file that was used, by base name and SHA-256.
type Input struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// Calibration is everything fitted for a setup, as its file holds it. Units
// stand in the names; log exposures, densities and ranges are log10.
type Calibration struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Made    time.Time `json:"made"`
	Inputs  []Input   `json:"inputs"`

	Setup          Setup           `json:"setup"`
	Conditions     Conditions      `json:"conditions"`
	Characteristic *Characteristic `json:"characteristic"` // null without a step tablet
	Ink            Ink             `json:"ink"`
	Exposure       Exposure        `json:"exposure"`
	Aim            AimUsed         `json:"aim"`
	Curve          Nodes           `json:"curve"`
	Quality        Quality         `json:"quality"`
	Cautions       []string        `json:"cautions"`
	// Doubt is for choosing a further chart: null in files of versions 1 and 2,
	// and where no print of the ramp was read.
	Doubt *Doubt `json:"doubt"`

	readVersion int // of the file that it was read from; 0 when it was not
}

// Setup says what the calibration holds for, in free text; and how the chart
// reached the printer, because another way may give other ink.
type Setup struct {
	Printer   string  `json:"printer"`
	Film      string  `json:"film"`
	InkColour string  `json:"ink_colour"`
	InkBatch  string  `json:"ink_batch"`
	Process   string  `json:"process"`
	Paper     string  `json:"paper"`
	Lamp      string  `json:"lamp"`
	Coats     string  `json:"coats"`
	Drying    string  `json:"drying"`
	Toning    string  `json:"toning"`
	Printing  Printed `json:"printing"`
}

// Printed says how the chart reached the printer.
type Printed struct {
	FileForm         string  `json:"file_form"`
	Channels         int     `json:"channels"`
	Depth            int     `json:"depth_bits"`
	PPI              float64 `json:"ppi"`
	Program          string  `json:"program"`
	Media            string  `json:"media_setting"`
	Quality          string  `json:"quality_setting"`
	ColourManagement string  `json:"colour_management"`
}

// Optional is a value with its standard uncertainty that may be unknown: null.
type Optional = *Value

// Characteristic is the characteristic curve and its figures; a figure that the
// readings do not reach is null.
type Characteristic struct {
	LogExposure     []float64 `json:"log_exposure"`
	PrintDensity    []float64 `json:"print_density"`
	PrintDensitySD  []float64 `json:"print_density_sd"`
	PaperDensity    Optional  `json:"paper_density"`
	MaximumDensity  Optional  `json:"maximum_density"`
	ExposureScale   Optional  `json:"exposure_scale"`
	NeededRange     Optional  `json:"needed_range"`
	AverageGradient Optional  `json:"average_gradient"`
	FilmBase        Optional  `json:"film_base"`          // known only from a tablet in a cut-out
	UpperLimit      *float64  `json:"upper_log_exposure"` // of exposure, where tone turned back; else null
}

// PathNode is one node of the way through printer RGB from clear film to full
// ink; percent is film ink, code values run 0 to 255.
type PathNode = printer.Node

// Ink is the ink ramp: where it runs, what it stops and how it prints. UV
// densities are null without a step tablet.
type Ink struct {
	Path       []PathNode `json:"path"`
	Percent    []float64  `json:"percent"`
	UVDensity  []float64  `json:"uv_density"`
	SD         []float64  `json:"sd"`
	PrintLstar []float64  `json:"print_lstar"`
	PrintSD    []float64  `json:"print_lstar_sd"`
	Range      Optional   `json:"ink_range"`
	Falling    bool       `json:"print_density_falls_with_exposure"`
}

// Exposure is the exposure of the prints, and the shortest that reaches black.
type Exposure struct {
	Given      *float64        `json:"given"`
	FirstBlack Optional        `json:"first_black"`
	Unit       string          `json:"unit"`
	Prints     []PrintExposure `json:"prints"`
}

// PrintExposure says how one print differs from the common curve.
type PrintExposure struct {
	Offset   Value `json:"offset"`   // log exposure against the first print
	Contrast Value `json:"contrast"` // log exposure stretched by 1 + this about log exposure -1

	// From here on since version 3, against the mean of the other prints.
	Print       int      `json:"print"` // from 1; pages of one chart share it
	Readings    string   `json:"readings"`
	Paper       Value    `json:"paper"`        // print density
	Black       Value    `json:"black"`        // print density
	InkStrength Value    `json:"ink_strength"` // log of the factor on UV density
	Shape       float64  `json:"shape_lstar"`  // left when all of these are taken out
	Differs     []string `json:"differs_in"`   // more than honest prints do
	LeftOut     bool     `json:"left_out"`     // the ramp took no part in the fit
}

// AimUsed is the aim and the print tones that it was scaled to.
type AimUsed struct {
	Name       string  `json:"name"`
	File       string  `json:"file"`
	BlackLstar float64 `json:"black_lstar"`
	WhiteLstar float64 `json:"white_lstar"`
}

// Nodes are the curve, picture tone to film ink, with what is expected there.
// UVDensity is null without a step tablet.
type Nodes struct {
	Tone      []float64 `json:"tone"`
	UVDensity []float64 `json:"uv_density"`
	Ink       []float64 `json:"ink"`
	AimLstar  []float64 `json:"aim_lstar"`
	ToneSD    []float64 `json:"tone_sd"`  // L*, of the calibration
	PrintSD   []float64 `json:"print_sd"` // L*, with print-to-print scatter
}

// Quality says how well the readings agree.
type Quality struct {
	NoiseLstar   *float64  `json:"noise_lstar"`
	NoiseDensity *float64  `json:"noise_density"`
	RMSLstar     float64   `json:"rms_lstar"`
	Freedom      float64   `json:"effective_degrees_of_freedom"`
	Readings     int       `json:"readings"`
	Outliers     []Outlier `json:"outliers"`
	Reversed     []string  `json:"reversed"`
	Flagged      []Flagged `json:"flagged"` // left out
	// Unevenness is null where no print says where its patches lie.
	Unevenness *Unevenness `json:"unevenness"`
	// Version1 is a field of version 1 that was always null.
	Version1 *float64 `json:"unevenness_log_exposure,omitempty"`
}

// Encode writes the calibration as indented JSON.
func (c *Calibration) Encode(w io.Writer) error {
	text, err := json.MarshalIndent(c, "", " ")
	if err != nil {
		return fmt.Errorf("calibration: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// Decode reads a calibration; name is for messages. Files of a lower version
// are accepted, of a higher one refused; a field that is not known is an error.
func Decode(r io.Reader, name string) (*Calibration, error) {
	var c Calibration
	if err := fileForm.Decode(r, name, &c); err != nil {
		return nil, err
	}
	c.readVersion = c.Version
	c.Version, c.Quality.Version1 = FileVersion, nil // what is written again is of today's form
	return &c, c.check(name)
}

func baseName(path string) string { return filepath.Base(path) }
