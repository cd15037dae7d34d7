package batch

import (
	"path/filepath"

	"actinic/negative/raster"
	"actinic/negative/sheet"
	"actinic/negative/tone"
	"actinic/process/calibration"
)

// Placing says how finished films go onto a sheet.
type Placing struct {
	WidthMM, HeightMM float64 // of each picture; 0 takes what each film states
	Edge              sheet.Edge
	Marks             bool
	Strip             *sheet.Strip
	Process           string // for the label of films that name none
	Calibration       string
}

// Place returns the item of a finished film, and what the film says of itself.
// A film without a description gets its file name as label. It fails with
// *fault.Error when the file is no picture or states no size.
func (p *Placing) Place(path string) (sheet.Item, Description, error) {
	src, err := openUpright(path)
	if err != nil {
		return sheet.Item{}, Description{}, err
	}
	h := src.Header()
	if err := src.Close(); err != nil {
		return sheet.Item{}, Description{}, err
	}
	about := p.describe(path, h)
	it := sheet.Item{
		Open:    func() (raster.Source, error) { return openUpright(path) },
		WidthMM: p.WidthMM, HeightMM: p.HeightMM, Edge: p.Edge, Marks: p.Marks, Strip: p.Strip,
		Label: sheet.Label{Name: about.Name, Process: about.Process, Date: about.Date, Calibration: about.Calibration},
	}
	if it.WidthMM == 0 {
		it.WidthMM, it.HeightMM, err = sheet.SizeMM(path, h)
	}
	return it, about, err
}

// describe is what the film says of itself, with the gaps filled.
func (p *Placing) describe(path string, h raster.Header) Description {
	about, _ := ParseDescription(h.Description)
	if about.Name == "" {
		about.Name = filepath.Base(path)
	}
	if about.Process == "" {
		about.Process = p.Process
	}
	if about.Calibration == "" {
		about.Calibration = p.Calibration
	}
	return about
}

// stripStop are the patches that tell a printer when to stop.
var stripStop = [2]int{3, 4}

// StripOf returns the check strip of a calibration: patches of known tones, made
// with the same curve as the pictures.
func StripOf(k *calibration.InkCurve) *sheet.Strip {
	s := &sheet.Strip{Stop: stripStop}
	for _, p := range tone.StripTones() {
		s.Patches = append(s.Patches, sheet.Patch{Device: k.Device(k.Ink(p.Tone))})
	}
	return s
}

// openUpright opens a film; one from elsewhere may be stored turned.
func openUpright(path string) (raster.Source, error) {
	src, err := raster.Open(path)
	if err != nil {
		return nil, err
	}
	return raster.Oriented(src, false), nil
}
