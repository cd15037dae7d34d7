package chart

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"actinic/process/document"
	"actinic/process/fault"
)

// The file's name for itself.
const (
	FileFormat  = "actinic chart"
	FileVersion = 1
)

// fileForm is the chart's file; the largest of ours are under 2 MB.
var fileForm = document.Form{Format: FileFormat, Version: FileVersion, Noun: "a chart", Command: "actinic chart",
	File: "NAME.chart.json", MostMiB: 16}

// chartFile is a chart as its file holds it; lengths are in millimetres.
type chartFile struct {
	Format       string     `json:"format"`
	Version      int        `json:"version"`
	Made         string     `json:"made"` // RFC 3339
	Inputs       []Input    `json:"inputs"`
	Kind         Kind       `json:"kind"`
	Seed         uint64     `json:"seed"`
	Mirrored     bool       `json:"mirrored"`
	ExposureUnit string     `json:"exposure_unit,omitempty"`
	Pages        []pageFile `json:"pages"`
}

type pageFile struct {
	Code         string      `json:"code"`
	WidthMM      float64     `json:"width_mm"`
	HeightMM     float64     `json:"height_mm"`
	PPI          float64     `json:"ppi"`
	Marks        []Mark      `json:"marks"`
	Patches      []patchFile `json:"patches"`
	TabletWindow *Rect       `json:"tablet_window"`
	OpaqueBox    *Rect       `json:"opaque_box"`
	CodeBox      *Rect       `json:"code_box"`
}

type patchFile struct {
	ID string `json:"id"`
	Rect
	Ink      *float64   `json:"ink,omitempty"`
	Device   deviceFile `json:"device,omitempty"`
	Exposure *float64   `json:"exposure,omitempty"`
}

// deviceFile is printer RGB; unlike an array of Go it keeps how many values there
// were, and which were null.
type deviceFile []*float64

func deviceOf(device *[3]float64) deviceFile {
	if device == nil {
		return nil
	}
	return deviceFile{&device[0], &device[1], &device[2]}
}

// rgb returns the three values; nil where there are none. It fails where there
// are others than three numbers.
func (d deviceFile) rgb() (*[3]float64, error) {
	if d == nil {
		return nil, nil
	}
	if len(d) != 3 {
		return nil, fmt.Errorf("found %d values, expected red, green and blue", len(d))
	}
	var out [3]float64
	for i, v := range d {
		if v == nil {
			return nil, errors.New("found null, expected a number")
		}
		out[i] = *v
	}
	return &out, nil
}

// file returns the chart in the form of its file.
func (c *Chart) file() *chartFile {
	f := &chartFile{Format: FileFormat, Version: FileVersion, Made: c.Made.UTC().Format(time.RFC3339),
		Inputs: append([]Input{}, c.Inputs...), Kind: c.Kind, Seed: c.Seed, Mirrored: c.Mirrored, ExposureUnit: c.ExposureUnit}
	for _, p := range c.Pages {
		page := pageFile{p.Code, p.WidthMM, p.HeightMM, p.PPI, append([]Mark{}, p.Marks...), []patchFile{}, p.TabletWindow, p.OpaqueBox, p.CodeBox}
		for _, q := range p.Patches {
			page.Patches = append(page.Patches, patchFile{q.ID, q.Rect, q.Ink, deviceOf(q.Device), q.Exposure})
		}
		f.Pages = append(f.Pages, page)
	}
	return f
}

// chart returns what a file holds; name is for messages.
func (f *chartFile) chart(made time.Time, name string) (*Chart, error) {
	c := &Chart{Kind: f.Kind, Seed: f.Seed, Mirrored: f.Mirrored, ExposureUnit: f.ExposureUnit, Made: made, Inputs: f.Inputs}
	for i, p := range f.Pages {
		page := Page{Code: p.Code, WidthMM: p.WidthMM, HeightMM: p.HeightMM, PPI: p.PPI, Marks: p.Marks,
			TabletWindow: p.TabletWindow, OpaqueBox: p.OpaqueBox, CodeBox: p.CodeBox}
		for j, q := range p.Patches {
			device, err := q.Device.rgb()
			if err != nil {
				return nil, fault.New(name, fmt.Sprintf("pages[%d].patches[%d].device", i, j), err.Error(), fileForm.AsWritten())
			}
			page.Patches = append(page.Patches, Patch{q.ID, q.Rect, q.Ink, device, q.Exposure})
		}
		c.Pages = append(c.Pages, page)
	}
	return c, nil
}

// Encode writes the chart as JSON, a mark or a patch on a line.
func (c *Chart) Encode(w io.Writer) error {
	text, err := json.Marshal(c.file())
	if err != nil {
		return fmt.Errorf("chart: %w", err)
	}
	_, err = w.Write(append(inLines(text), '\n'))
	return err
}

// inLines breaks compact JSON before each object of a list: readable, and a
// third of the length of full indentation.
func inLines(text []byte) []byte {
	for _, at := range []string{`,{"id"`, `,{"code"`, `[{"id"`, `[{"code"`, `"pages":`, `"marks":`, `"patches":`, `"tablet_window":`} {
		lead := at[:1]
		if lead == `"` {
			lead = ""
		}
		text = bytes.ReplaceAll(text, []byte(at), []byte(lead+"\n"+at[len(lead):]))
	}
	return text
}

// Decode reads a chart; name is for messages. Files of a lower version are
// accepted, of a higher one refused; a field that is not known is an error, and
// so is a number that no chart has. Errors are *fault.Error.
func Decode(r io.Reader, name string) (*Chart, error) {
	var f chartFile
	if err := fileForm.Decode(r, name, &f); err != nil {
		return nil, err
	}
	made, err := time.Parse(time.RFC3339, f.Made)
	if err != nil {
		return nil, fault.New(name, "field made", fmt.Sprintf("found %q, expected a time as 2026-01-31T12:00:00Z", f.Made), fileForm.AsWritten())
	}
	c, err := f.chart(made, name)
	if err != nil {
		return nil, err
	}
	if err := c.check(name); err != nil {
		return nil, err
	}
	return c, nil
}
