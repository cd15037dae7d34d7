package profile

import (
	"io"
	"time"
)

// GreyProfile is what a profile made from a calibration says.
type GreyProfile struct {
	Description string // shown by programs in their lists
	Copyright   string
	Ink         Ink
	Created     time.Time // in the file as UTC; zero is written as not known
}

// WriteGrey writes the curve as an ICC profile of class prtr, colour space
// GRAY, version 4.3 (ISO 15076-1), with a tone curve (kTRC) only. The same
// GreyProfile gives the same bytes.
//
// The device value is film ink, 0 clear to 1 full, and rises with tone: convert
// a picture to the profile (relative colorimetric intent), then invert its
// values, and they are the greys of the film. A profile whose device value fell
// would save the inversion, but programs take its darkest grey for black and
// lift it: with black point compensation, or perceptual intent that implies it,
// such a profile was wrong by half of full ink in lcms2. A rising one gives the
// same with any intent, with and without compensation. The connection space is
// Lab, because programs invert a tone curve by a table that is even in L* then;
// even in Y it would be coarse in the shadows.
//
// lcms2 follows the curve within 1/1000 of full ink when it computes in floats or
// without precalculation. Its default for 16-bit pictures replaces a conversion
// to grey by a grid of a few nodes, which rounds off kinks, and forces pure white
// to full ink, which is wrong for a curve that stops below. WriteLink has neither
// fault: prefer it.
//
// It fails if the curve does not rise or leaves 0..100, or if writing does.
func WriteGrey(w io.Writer, p GreyProfile) error {
	values, err := p.Ink.codes()
	if err != nil {
		return err
	}
	return p.write(w, "prtr", "GRAY", "Lab ", []tagData{
		{"wtpt", xyz(whiteD50)}, {"kTRC", sampled(values)},
	})
}

func (p *GreyProfile) write(w io.Writer, class, space, pcs string, tags []tagData) error {
	return writeProfile(w, header(class, space, pcs, p.Created), p.Description, p.Copyright, tags)
}

// writeProfile writes a header and tags, those that every profile has in front.
func writeProfile(w io.Writer, header []byte, description, copyright string, tags []tagData) error {
	tags = append([]tagData{{"desc", text(description)}, {"cprt", text(copyright)}}, tags...)
	_, err := w.Write(appendProfile(nil, header, tags))
	return err
}
