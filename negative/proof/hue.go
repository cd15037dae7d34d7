package proof

import "actinic/process/density"

// Hue is the colour of a print from paper to maximum density. The a* and b* of
// the tones between lie on a straight line over L*. Real prints bend from it,
// and the end itself varies with paper, toning and water: it is an estimate,
// and Note says so wherever the proof goes.
type Hue struct {
	Paper Lab    // bare paper
	Black Lab    // maximum density; its L is where a*, b* are reached
	Name  string // of the process, for the note; may be ""
}

// WarmWhite is the a*, b* of a cotton paper without brightener, slightly warm
// (common practice, from memory).
var WarmWhite = [2]float64{0.4, 3.2}

// Estimate returns the hue of a process from the a* and b* of its maximum
// density on a warm white paper. paper and black are the lightness of the
// print's own ends, as the calibration gives them.
func Estimate(name string, a, b float64, paper, black density.Lightness) Hue {
	return Hue{
		Paper: Lab{paper, WarmWhite[0], WarmWhite[1]},
		Black: Lab{black, a, b},
		Name:  name,
	}
}

// At returns the colour of a print tone. Beyond the ends the nearer end's a*,
// b* hold.
func (h Hue) At(l density.Lightness) Lab {
	span := float64(h.Paper.L - h.Black.L)
	part := 1.0 // paper
	if span > 0 {
		part = min(max(float64(l-h.Black.L)/span, 0), 1)
	}
	return Lab{l,
		h.Black.A + part*(h.Paper.A-h.Black.A),
		h.Black.B + part*(h.Paper.B-h.Black.B)}
}

// Note is the sentence that goes with a proof, and into its file.
func (h Hue) Note() string {
	of := ""
	if h.Name != "" {
		of = " of " + h.Name
	}
	return "Proof of the print to expect. Its tones come from the calibration; its hue is an estimate" + of + "."
}
