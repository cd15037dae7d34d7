package calibration

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"actinic/process/document"
	"actinic/process/printer"
)

// The inks file's name for itself.
const (
	InksFormat  = "actinic inks"
	InksVersion = 1
)

// inksForm is the file of inks; 2,000 colours are some 2 MB.
var inksForm = document.Form{Format: InksFormat, Version: InksVersion, Noun: "a file of inks", Command: "actinic opacity",
	File: "NAME.inks.json", MostMiB: 32}

// Inks is what prints of printer colours told about a printer's inks: the UV
// density of each colour, which serves best as ink colour, and the ink blend to
// it. Units stand in the names; densities and ranges are log10.
type Inks struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Made    time.Time `json:"made"`
	Inputs  []Input   `json:"inputs"`

	Setup          Setup           `json:"setup"`
	Exposure       InksExposure    `json:"exposure"`
	Characteristic *Characteristic `json:"characteristic"`
	Colours        []InkColour     `json:"colours"`
	// Printer says how well the printer's model tells colours; null where there
	// were too few colours for one.
	Printer     *InksPrinter     `json:"model"`
	NeededRange *InksRange       `json:"needed_range"` // null when neither asked for nor measured
	Ranking     *printer.Ranking `json:"ranking"`      // null without a needed range or a model
	// InkColour is the colour chosen; null where there is no ranking and none was
	// asked for.
	InkColour *ColourCode `json:"ink_colour"`
	Blend     *InksBlend  `json:"blend"` // null without an ink colour or a model
	// Spectral is what spectra of the inks tell, held against the print; null
	// without them.
	Spectral *Spectral   `json:"spectral"`
	Quality  InksQuality `json:"quality"`
	Cautions []string    `json:"cautions"`
}

// InksExposure is how the prints were exposed.
type InksExposure struct {
	Unit   string       `json:"unit"` // of the exposures given; "" when none was
	Prints []InksPrints `json:"prints"`
}

// InksPrints is one print.
type InksPrints struct {
	Readings     string   `json:"readings"` // base name of the file
	Given        *float64 `json:"given"`
	Offset       Value    `json:"offset"`   // log exposure against the first print
	Contrast     Value    `json:"contrast"` // log exposure stretched by 1 + this about log exposure -1
	NoiseLstar   *float64 `json:"noise_lstar"`
	NoiseDensity *float64 `json:"noise_density"`
	// Low and High bound the UV densities that one reading of this print tells;
	// null where none is.
	Low  *float64 `json:"reads_from_uv_density"`
	High *float64 `json:"reads_to_uv_density"`
}

// ColourCode is a printer colour, code values 0 to 255.
type ColourCode struct {
	Red   float64 `json:"red"`
	Green float64 `json:"green"`
	Blue  float64 `json:"blue"`
}

// RGB returns the colour.
func (c ColourCode) RGB() printer.RGB { return printer.RGB{c.Red, c.Green, c.Blue} }

func colourCode(c printer.RGB) ColourCode { return ColourCode{c[0], c[1], c[2]} }

// InkColour is one measured colour. UVDensity is null beyond the prints' reach,
// where a bound is known.
type InkColour struct {
	Patches []string `json:"patches"`
	ColourCode
	UVDensity *float64 `json:"uv_density"`
	SD        *float64 `json:"sd"`
	PatchSD   *float64 `json:"patch_sd"` // the part of sd that no other colour shares
	AtLeast   *float64 `json:"at_least"` // 95 %
	AtMost    *float64 `json:"at_most"`
	// Predicted is what the printer's model says of the colour, this reading of it
	// and all others seen; null without a model.
	Predicted   *float64 `json:"predicted"`
	PredictedSD *float64 `json:"predicted_sd"`
}

// InksPrinter says how well the printer's model tells colours.
type InksPrinter struct {
	Irregularity float64 `json:"irregularity"` // sd of what is not smooth, of a dense colour
	// HeldOut figures are of colours that the model did not see: how far off it is
	// by mean squares, and the share within its 95 % band. Null where too few
	// colours were left to hold some out.
	HeldOutRMS  *float64 `json:"held_out_rms"`
	HeldOutBand *float64 `json:"held_out_share_in_band"`
}

// InksRange is the range that the ink colour must reach.
type InksRange struct {
	Value
	From string `json:"from"` // "tablet", "tablet, at this exposure", "asked for" or "process card"
}

// InksBlend is the ink blend, and how finely it is graded beside the straight line
// to the ink colour. Unless the user chose the ink colour, the blend may end in
// another that reaches the needed range by a smoother way.
type InksBlend struct {
	Nodes    printer.Path      `json:"nodes"`
	Straight printer.Gradation `json:"gradation_before"`
	Blend    printer.Gradation `json:"gradation_after"`
}

// InksQuality says how well the readings agree.
type InksQuality struct {
	Readings   int         `json:"readings"` // of colours
	Colours    int         `json:"colours"`
	Numbers    int         `json:"colours_read"` // within reach
	Low        float64     `json:"reach_from"`   // UV density
	High       float64     `json:"reach_to"`
	Outliers   []Outlier   `json:"outliers"`
	Reversed   []string    `json:"reversed"`
	Flagged    []Flagged   `json:"flagged"`
	Unevenness *Unevenness `json:"unevenness"` // null where no print says where its patches lie
}

// Encode writes the inks as indented JSON.
func (k *Inks) Encode(w io.Writer) error {
	text, err := json.MarshalIndent(k, "", " ")
	if err != nil {
		return fmt.Errorf("inks: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// DecodeInks reads a file of inks; name is for messages. A higher version and a
// field that is not known are a *fault.Error, and so are numbers that do not hang
// together.
func DecodeInks(r io.Reader, name string) (*Inks, error) {
	var k Inks
	if err := inksForm.Decode(r, name, &k); err != nil {
		return nil, err
	}
	k.Version = InksVersion
	return &k, k.check(name)
}
