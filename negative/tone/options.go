package tone

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// Fit says what to do when the picture's shape is not the size's.
type Fit int

const (
	// FitInside keeps the whole picture and its shape: it is made as large as
	// fits inside the size, and nothing is added. The default: a print smaller
	// than asked can be seen and put right, a cut head cannot.
	FitInside Fit = iota
	// FitCrop fills the size and cuts what is over, evenly on both sides.
	FitCrop
	// FitPad is FitInside with the rest of the size filled as the edge is:
	// clear film, or full ink with EdgeOpaque.
	FitPad
)

// Edge says what surrounds the picture on the film.
type Edge int

const (
	// EdgeNone adds nothing.
	EdgeNone Edge = iota
	// EdgeClear is clear film: brushwork shows, black to its edge.
	EdgeClear
	// EdgeKeyline is clear film with a line at its outside to lay masking tape to.
	EdgeKeyline
	// EdgeOpaque is full ink, a safe edge: paper white around the picture.
	EdgeOpaque
)

// DefaultHeldBytes holds a picture of 64 million pixels at 16 bits.
const DefaultHeldBytes = 128 << 20

// DefaultPPI is the resolution of a negative whose picture states none: what
// inkjet printers take for pictures (300 to 360, common practice, from memory).
const DefaultPPI = 360

// Options says how a picture becomes a negative. The zero value keeps the
// picture's grid, mirrors, and adds nothing.
type Options struct {
	// WidthMM and HeightMM are the size of the print, upright, without edge and
	// marks. Both 0 keeps the picture's grid; one 0 follows from the shape.
	WidthMM, HeightMM float64
	// PPI is the film's resolution; 0 takes the picture's own without a size,
	// and DefaultPPI with one or when the picture states none that can be meant.
	PPI float64
	Fit Fit
	// Rotate turns the upright picture clockwise: 0, 90, 180 or 270 degrees.
	// RotateToFit turns it by 90 degrees more where the size lies the other way.
	Rotate      int
	RotateToFit bool
	// HeldBytes bounds what a picture that must be turned on its side or its head
	// may hold at a time; 0 is DefaultHeldBytes. Less memory takes more passes
	// over the picture.
	HeldBytes int64
	// Part, if not nil, keeps only this part of the print, in millimetres from
	// its top-left, at the scale of the whole.
	Part *Part
	// InputNegative undoes an inversion of the picture's values: v to 1 - v as
	// stored, before its profile.
	InputNegative bool
	// Positive makes a film positive: tone to 100 - tone before the curve.
	Positive bool
	// NoMirror leaves the film reading right from the ink side.
	NoMirror bool
	// Depth is 16 (also when 0), or 8 with error diffusion.
	Depth int

	Edge       Edge
	EdgeMM     float64 // width of the edge
	Marks      bool    // registration marks at the corners
	CheckStrip bool    // numbered patches of known tone below the picture
	Label      string  // a line of text at the bottom; "" for none
}

// Part is a rectangle on the upright print in millimetres.
type Part struct{ XMM, YMM, WidthMM, HeightMM float64 }

// Size limits: a size in inches or pixels typed as millimetres is caught here,
// before a huge grid is laid out.
const (
	maxSizeMM = 20000
	maxPPI    = 5760
	maxSide   = 1 << 20 // pixels
)

// leastPPI is the coarsest film that can be meant. Of pictures, those that state
// less mean the shape of their pixels, or nothing (1 by 1 an inch is such a way
// of speaking; common practice): a working value of ours.
const leastPPI, leastOwnPPI = 1, 10

// check refuses options that cannot be meant.
func (o *Options) check() error {
	for _, v := range []struct {
		flag      string
		value, to float64
	}{
		{"--size", o.WidthMM, maxSizeMM}, {"--size", o.HeightMM, maxSizeMM},
		{"--ppi", o.PPI, maxPPI}, {"--edge", o.EdgeMM, 500},
	} {
		if !(v.value >= 0 && v.value <= v.to) {
			return fault.New("", v.flag, fmt.Sprintf("%g is not between 0 and %g", v.value, v.to),
				"sizes are millimetres of the print, as in --size 203x254mm")
		}
	}
	if o.PPI > 0 && o.PPI < leastPPI {
		return fault.New("", "--ppi", fmt.Sprintf("%g is not between %d and %d", o.PPI, leastPPI, maxPPI), "printers take 240 to 720; leave it out for the picture's own")
	}
	if o.Rotate != 0 && o.Rotate != 90 && o.Rotate != 180 && o.Rotate != 270 {
		return fault.New("", "--rotate", fmt.Sprintf("%d degrees, expected 0, 90, 180 or 270", o.Rotate), "leave it out to keep the picture upright")
	}
	if o.HeldBytes < 0 {
		return fault.New("", "--memory", "less than nothing may be held", "leave it out")
	}
	if o.Depth != 0 && o.Depth != 8 && o.Depth != 16 {
		return fault.New("", "--depth", fmt.Sprintf("%d bits, expected 8 or 16", o.Depth), "leave it out for 16")
	}
	return nil
}

func (o *Options) bits() int {
	if o.Depth == 8 {
		return 8
	}
	return 16
}

// Resolution returns the film's pixels per inch; own is the picture's, 0 if it
// states none. One that no print has counts as none.
func (o *Options) Resolution(own float64) float64 {
	sized := o.WidthMM > 0 || o.HeightMM > 0
	switch {
	case o.PPI > 0:
		return o.PPI
	case !sized && own >= leastOwnPPI && own <= maxPPI:
		return own
	}
	return DefaultPPI
}

// pixels returns millimetres in pixels, rounded.
func pixels(mm, ppi float64) int { return int(math.Round(mm * ppi / 25.4)) }
