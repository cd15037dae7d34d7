package proof

import (
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// Proof is a picture of the print to expect: 8-bit sRGB, upright, unmirrored,
// its rows made as they are read.
type Proof struct {
	*tone.Film
	// Note says that the hue is an estimate; it belongs into the file's text and
	// beside wherever the proof is shown.
	Note string
}

// Header describes the proof; its Description is the note, so that a sink made
// with it writes the note into the file.
func (p *Proof) Header() raster.Header {
	h := p.Film.Header()
	h.Description = p.Note
	return h
}

// Options says how large a proof is and what it is made of.
type Options struct {
	// LongestPX is the longer side in pixels; 0 keeps what the film has.
	LongestPX int
	Hue       Hue
	Jobs      int // cores; 0 for all
}

// FromPicture proofs the negative that the options n would make of a picture:
// the same crop and part, without border. The notices of the film itself
// belong to the negative.
func FromPicture(src raster.Source, lum tone.Luminance, c Curve, n tone.Options, o Options) (*Proof, error) {
	n = asSeen(n)
	shrink(&n, src.Header(), o.LongestPX)
	f, err := tone.Negative(src, lum, printed{c, o.Hue}, n, o.Jobs)
	if err != nil {
		return nil, err
	}
	return &Proof{f, o.Hue.Note()}, nil
}

// FromFilm proofs a finished film raster, border and all: printer codes of 16
// bits, untagged. mirrored says whether the film is (the default of negatives).
//
// It fails with *fault.Error if the film is grey but the calibration's ink ramp
// is not.
func FromFilm(film raster.Source, c Curve, mirrored bool, o Options) (*Proof, error) {
	h := film.Header()
	if h.Channels == 1 && !c.Neutral() {
		return nil, fault.New("", "channels", "the film is grey, but the calibration's ink colour is not",
			"give the calibration that the film was made with")
	}
	n := tone.Options{NoMirror: !mirrored, Depth: 8}
	shrink(&n, h, o.LongestPX)
	f, err := tone.Negative(film, newFilmLight(c, h.Channels), shown{o.Hue}, n, o.Jobs)
	if err != nil {
		return nil, err
	}
	return &Proof{f, o.Hue.Note()}, nil
}

// asSeen leaves of a negative's options what changes the print.
func asSeen(n tone.Options) tone.Options {
	return tone.Options{WidthMM: n.WidthMM, HeightMM: n.HeightMM, PPI: n.PPI, Fit: n.Fit, Part: n.Part,
		Rotate: n.Rotate, RotateToFit: n.RotateToFit, HeldBytes: n.HeldBytes,
		InputNegative: n.InputNegative, Positive: n.Positive, NoMirror: true, Depth: 8,
		Edge: padding(n.Edge)}
}

// padding keeps the edge's filling for --fit pad, without the edge: its width
// is left at 0.
func padding(e tone.Edge) tone.Edge {
	if e == tone.EdgeOpaque {
		return tone.EdgeOpaque
	}
	return tone.EdgeNone
}

// shrink sets size and resolution so that the longer side has longest pixels,
// unless it has fewer.
func shrink(n *tone.Options, h raster.Header, longest int) {
	if longest <= 0 {
		return
	}
	width, height := float64(h.Width), float64(h.Height)
	if onItsSide, turned := h.Orientation >= 5, n.Rotate%180 != 0; onItsSide != turned {
		width, height = height, width
	}
	ppi := n.Resolution(h.PPIX)
	switch {
	case n.WidthMM == 0 && n.HeightMM == 0:
		n.WidthMM, n.HeightMM = width*25.4/ppi, height*25.4/ppi
	case n.HeightMM == 0:
		n.HeightMM = n.WidthMM * height / width
	case n.WidthMM == 0:
		n.WidthMM = n.HeightMM * width / height
	}
	side := max(n.WidthMM, n.HeightMM)
	if n.Part != nil {
		side = max(n.Part.WidthMM, n.Part.HeightMM)
	}
	n.PPI = min(ppi, float64(longest)*25.4/side)
}
