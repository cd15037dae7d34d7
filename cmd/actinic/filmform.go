package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"path/filepath"

	"actinic/negative/batch"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/calibration"
	"actinic/process/recipe"
)

// bakeCurve makes a calibration ready for pictures.
func bakeCurve(c *calibration.Calibration) (*tone.InkTable, error) {
	k, err := c.InkCurve()
	if err != nil {
		return nil, err
	}
	return tone.Bake(k)
}

// cardOf returns the card of the process that a setup names in free text, and
// whether there is one.
func cardOf(process string) (recipe.Card, bool) {
	if process == "" {
		return recipe.Card{}, false
	}
	card, err := recipe.Find(process)
	return card, err == nil
}

// unmirrored reports whether a film stays unmirrored where no flag says so: as the
// process card says.
func unmirrored(process string) (bool, []string) {
	card, known := cardOf(process)
	if !known || card.Mirrored {
		return false, nil
	}
	return true, []string{fmt.Sprintf("%s: the film is not mirrored, as its process card says (--no-mirror=false mirrors it)", card.Name)}
}

// likeChart gives a film the form of the chart where no flag gives another, and
// says where flags make it differ: another form may take another way through
// the printer's driver.
func likeChart(t *tone.Options, o *negativeOptions, chart calibration.Printed) []string {
	format := o.fileForm()
	switch {
	case t.Depth != 0:
	case format == batch.PNG:
		t.Depth = 8
	default:
		t.Depth = chart.Depth
	}
	if t.PPI == 0 && o.size.given() {
		t.PPI = chart.PPI
		o.size.inMM(t)
	}
	var notices []string
	differs := func(what, film, was string) {
		notices = append(notices, fmt.Sprintf("the chart was printed with %s %s, this film has %s: the printer may take it another way; print a chart in the same form", what, was, film))
	}
	if chart.Depth != 0 && t.Depth != chart.Depth {
		differs("a depth of", fmt.Sprintf("%d bits", t.Depth), fmt.Sprintf("%d bits", chart.Depth))
	}
	if chart.PPI != 0 && t.PPI != 0 && t.PPI != chart.PPI {
		differs("a resolution of", fmt.Sprintf("%g ppi", t.PPI), fmt.Sprintf("%g ppi", chart.PPI))
	}
	if f := chart.FileForm; f != "" && f != "pdf" && f != format {
		differs("the file form", format, f)
	}
	return notices
}

// fileForm is the form of the film's file: as its name says, or for a folder as
// --format says.
func (o *negativeOptions) fileForm() string {
	if named := batch.FormatOf(o.out); named != "" && !isFolder(o.out) {
		return named
	}
	return cmp.Or(string(o.format), batch.TIFF)
}

// baseOf returns the base name of a file, "" for standard input.
func baseOf(name string) string {
	if name == standardStream {
		return ""
	}
	return filepath.Base(name)
}

// openPicture opens a picture that the user named; "-" is standard input, which
// is read to its end.
func (a *app) openPicture(name string) (raster.Source, error) {
	open, err := a.reopener(name)
	if err != nil {
		return nil, err
	}
	return open()
}

// reopener returns how to open a picture again and again; standard input is
// kept in memory.
func (a *app) reopener(name string) (func() (raster.Source, error), error) {
	if name != standardStream {
		return func() (raster.Source, error) { return raster.Open(name) }, nil
	}
	in, err := a.openInput(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	content, err := io.ReadAll(in)
	if err != nil {
		return nil, err
	}
	return func() (raster.Source, error) {
		return raster.NewSource(bytes.NewReader(content), int64(len(content)), inputName(name))
	}, nil
}
