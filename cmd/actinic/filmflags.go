package main

import (
	"errors"
	"fmt"
	"strings"

	"actinic/negative/sheet"
	"actinic/negative/tone"
	"actinic/process/measure/delimited"

	"github.com/spf13/pflag"
)

// sizeFlag is a flag that takes a size with its unit.
type sizeFlag struct{ widthMM, heightMM float64 }

func (f *sizeFlag) Set(text string) error {
	w, h, err := sheet.ParseSize(text)
	if err != nil {
		return errors.New("expected WIDTHxHEIGHT with a unit, as in 203x254mm, 20.3x25.4cm or 8x10in, from 5 to 5080 mm a side")
	}
	f.widthMM, f.heightMM = w, h
	return nil
}

func (f *sizeFlag) String() string {
	if f.widthMM == 0 {
		return ""
	}
	return fmt.Sprintf("%gx%gmm", f.widthMM, f.heightMM)
}

func (f *sizeFlag) Type() string { return "SIZE" }

// fitFlag is a flag that says what to do when the shapes differ.
type fitFlag string

var fits = map[fitFlag]tone.Fit{"inside": tone.FitInside, "crop": tone.FitCrop, "pad": tone.FitPad}

func (f *fitFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{"inside", "crop", "pad"}}.set(text)
}
func (f *fitFlag) String() string { return string(*f) }
func (f *fitFlag) Type() string   { return "FIT" }

// edgeFlag is a flag that takes an edge and its width: "opaque:10".
type edgeFlag struct {
	kind    string
	widthMM float64
}

// usualEdgeMM is how wide an edge is that gives no width: enough to lay masking
// tape on (common practice, from memory).
const usualEdgeMM = 10

const edgeUsage = "`EDGE` around the picture: clear, keyline or opaque, and its width in mm, as opaque:10"

var errEdge = errors.New("expected clear, keyline or opaque, and perhaps a width in mm, as in opaque:10")

func (f *edgeFlag) Set(text string) error {
	kind, width, given := strings.Cut(strings.ReplaceAll(text, " ", ":"), ":")
	e := edgeFlag{kind, usualEdgeMM}
	if given {
		mm, err := delimited.ParseNumber(strings.TrimSuffix(width, "mm"))
		if err != nil || !(mm > 0 && mm <= 500) {
			return errEdge
		}
		e.widthMM = mm
	}
	if kind != "clear" && kind != "keyline" && kind != "opaque" {
		return errEdge
	}
	*f = e
	return nil
}

func (f *edgeFlag) String() string {
	if f.kind == "" {
		return ""
	}
	return fmt.Sprintf("%s:%g", f.kind, f.widthMM)
}

func (f *edgeFlag) Type() string { return "EDGE" }

var filmEdges = map[string]tone.Edge{"": tone.EdgeNone, "clear": tone.EdgeClear, "keyline": tone.EdgeKeyline, "opaque": tone.EdgeOpaque}

// pictureOptions are the flags that say how a picture becomes a print: those
// that 'negative' and 'proof' share.
type pictureOptions struct {
	size          printSizeFlag
	ppi           float64
	fit           fitFlag
	rotate        rotateFlag
	part          partFlag
	inputNegative bool
	positive      bool
}

func (o *pictureOptions) add(flags *pflag.FlagSet) {
	o.fit = "inside"
	flags.Var(&o.size, "size", "`SIZE` of the print without edge: 203x254mm, 20.3x25.4cm or 8x10in; or its width alone, 203mm or 3000px, or its height, x254mm")
	flags.Float64Var(&o.ppi, "ppi", 0, "resolution of `PPI` (with --size default as the chart, else 360); without --size it sets the tag only, else the picture's own")
	flags.Var(&o.fit, "fit", "where the shapes differ, `FIT` is inside (whole picture, nothing added), crop or pad")
	flags.Var(&o.rotate, "rotate", "turn the picture clockwise by `DEGREES`: 0, 90, 180 or 270; auto turns it where the size lies the other way")
	flags.Var(&o.part, "part", partUsage)
	flags.BoolVar(&o.inputNegative, "input-negative", false, "the picture is a negative already, a scan of an old one say: turn its values round as stored (v to full - v, what editors call invert), before its profile")
	flags.BoolVar(&o.positive, "positive", false, "turn the tones round: a film positive of the same picture")
}

// check refuses flags that can't be meant.
func (o *pictureOptions) check() error {
	switch {
	case !(o.ppi == 0 || o.ppi >= 1 && o.ppi <= mostPPI):
		return &usageError{where: "--ppi", what: fmt.Sprintf("%g is not between 1 and %d", o.ppi, mostPPI), hint: "printers take 240 to 720; leave it out for the picture's own"}
	case o.rotate == rotateAuto && (o.size.widthMM == 0 || o.size.heightMM == 0):
		return &usageError{where: "--rotate", what: "auto turns the picture to the way that the size lies, and there is no size of two sides", hint: "add --size WIDTHxHEIGHT, or say by how much: --rotate 90"}
	}
	return nil
}

// mostPPI is the finest resolution that printers are driven at.
const mostPPI = 5760

// tone returns the options for the film. Several parts, and a part to be found,
// are left to whoever makes several pieces.
func (o *pictureOptions) tone() tone.Options {
	t := tone.Options{WidthMM: o.size.widthMM, HeightMM: o.size.heightMM, PPI: o.ppi, Fit: fits[o.fit],
		Rotate: o.rotate.degrees(), RotateToFit: o.rotate == rotateAuto,
		InputNegative: o.inputNegative, Positive: o.positive}
	if len(o.part.parts) == 1 {
		t.Part = &o.part.parts[0]
	}
	o.size.inMM(&t)
	return t
}
