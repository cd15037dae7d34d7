package sheet

import (
	"fmt"
	"math"
	"time"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// Item is one finished negative to be placed on film.
type Item struct {
	// Open returns the picture as it is to be printed, mirrored already where
	// it must be, its rows in the order of printing (orientation 1). Write opens
	// each picture once and closes it.
	Open func() (raster.Source, error)
	// Same is equal for items that open the same picture, such as copies: it then
	// stands in the file once. Any comparable value; nil for one of its own.
	Same any
	// WidthMM and HeightMM are the size of the picture itself; edge, marks,
	// strip and label lie outside it.
	WidthMM, HeightMM float64
	// Person is whose negative it is in a class set; may be empty. Layout passes
	// it on.
	Person string
	// Chart is for a finished calibration chart: it carries its own marks, notes
	// and margin, so nothing is drawn around it, and one as large as the film gets
	// a sheet without anything else.
	Chart bool
	Label Label
	Edge  Edge
	Marks bool   // corner and registration marks
	Strip *Strip // nil: no check strip
}

// Label is what stands under a negative, with its size. Empty fields are left
// out; a field too long for the line loses its middle.
type Label struct {
	Name, Process, Date, Calibration string
}

// EdgeKind says what surrounds the picture.
type EdgeKind int

const (
	EdgeClear   EdgeKind = iota // clear film: the brushwork of the coating shows
	EdgeKeyline                 // a thin line to lay masking tape along
	EdgeOpaque                  // full ink: a safe edge
)

// Edge surrounds a picture. WidthMM is the distance of the keyline from the
// picture, or how wide the opaque edge is; it is not used for EdgeClear.
type Edge struct {
	Kind    EdgeKind
	WidthMM float64
	Device  [3]float64 // full ink in printer RGB 0..1, for EdgeOpaque
}

// widthMM returns how much the edge adds on each side.
func (e Edge) widthMM() float64 {
	if e.Kind == EdgeClear {
		return 0
	}
	return e.WidthMM
}

// Strip is a check strip: patches made with the picture's own curve, numbered
// from 1 in the order given, printed in the picture's own file form.
type Strip struct {
	Patches []Patch
	// Stop names two neighbouring patches: the strip then tells who prints by
	// inspection to stop when they merge. Zero leaves the instruction out.
	Stop [2]int
}

// Patch is one fill of a check strip.
type Patch struct {
	Device [3]float64 // printer RGB 0..1; a grey picture takes the first
}

// Options are what all pages of one file share.
type Options struct {
	Film    Film
	GapMM   float64   // between negatives
	Date    time.Time // of the file; zero is 1970-01-01, the clock is never read
	Title   string    // of the file; may be empty
	Caution string    // the short caution for every page
	Rulers  bool      // 100 mm rulers both ways
	// Depth is the bits of each sample of the pictures in the file: 16, or 8 with
	// what is rounded away dithered (tone.Diffuser); 0 for the picture's own.
	Depth int
	// InOrder keeps the order given, in rows, with lines from edge to edge to cut
	// along; else negatives are packed to take little film.
	InOrder bool
	// NoTurn leaves each negative as it is; else it may get a quarter turn.
	NoTurn bool
	// CutMarks draws short strokes in the gaps, in line with each side.
	CutMarks bool
	// InkUp is for film that will lie ink side up: nothing is mirrored then.
	InkUp bool
	// Bare leaves out everything but the pictures and lets them reach the edge
	// of the film: for charts, which carry their own marks and notes.
	Bare bool

	work int // of the search for a tight packing; 0 is searchWork
}

// Page is one sheet of film as Layout fills it.
type Page struct {
	Number, Count int
	// HeightMM is how long the sheet is: the film's height, or what is cut off a
	// roll.
	HeightMM   float64
	Placements []Placement
	// Notices says what a person should know of the page: a ruler that had no
	// room, letters that the film cannot show.
	Notices []string

	rulers []ruler
	footer footer
	// otherSide is for a sheet whose ink side lies the other way than the options
	// of Write say.
	otherSide bool
	bare      bool // pictures only, up to the edges
	cuts      []cut
}

// Placement is where an item lies, as seen from above.
type Placement struct {
	Item  Item
	Index int // of the item in the list that Layout was given
	// XMM and YMM are the top-left corner of the picture on the film; WidthMM
	// and HeightMM are its size there, exchanged when Turned.
	XMM, YMM, WidthMM, HeightMM float64
	Turned                      bool // a quarter turn clockwise

	block  block
	corner point // of the block
}

type point struct{ x, y float64 }

// rect is a rectangle in millimetres: x, y is its top-left corner.
type rect struct{ x, y, w, h float64 }

func (r rect) right() float64  { return r.x + r.w }
func (r rect) bottom() float64 { return r.y + r.h }

// grow returns r with d added on each side.
func (r rect) grow(d float64) rect { return rect{r.x - d, r.y - d, r.w + 2*d, r.h + 2*d} }

// check refuses an item that cannot be drawn as it stands.
func (it Item) check() error {
	switch {
	case !sideFits(it.WidthMM) || !sideFits(it.HeightMM):
		return it.fault(fmt.Sprintf("the picture is %g x %g mm; a side must be from %d to %d mm", it.WidthMM, it.HeightMM, leastSideMM, mostSideMM),
			"give the size, for example --size 203x254mm")
	case it.Edge.Kind < EdgeClear || it.Edge.Kind > EdgeOpaque:
		panic("sheet: unknown edge kind")
	case it.Edge.Kind != EdgeClear && !(it.Edge.WidthMM > 0 && it.Edge.WidthMM <= mostSideMM):
		return it.fault(fmt.Sprintf("the edge is %g mm wide; it must be wider than 0 mm", it.Edge.WidthMM), "give the width of the edge, for example 10")
	case !isDevice(it.Edge.Device):
		return it.fault(fmt.Sprintf("the edge has printer values %g; they must be from 0 to 1", it.Edge.Device), "")
	}
	return it.checkStrip()
}

func (it Item) checkStrip() error {
	if it.Strip == nil {
		return nil
	}
	n := len(it.Strip.Patches)
	if n == 0 || n > mostPatches {
		return it.fault(fmt.Sprintf("the check strip has %d patches; it may have 1 to %d", n, mostPatches), "")
	}
	for i, p := range it.Strip.Patches {
		if !isDevice(p.Device) {
			return it.fault(fmt.Sprintf("patch %d of the check strip has printer values %g; they must be from 0 to 1", i+1, p.Device), "")
		}
	}
	if s := it.Strip.Stop; s != [2]int{} && (s[0] < 1 || s[1] != s[0]+1 || s[1] > n) {
		return it.fault(fmt.Sprintf("patches %d and %d of the check strip are not neighbours among its %d", s[0], s[1], n), "")
	}
	return nil
}

func (it Item) fault(what, hint string) error { return fault.New(it.Label.Name, "", what, hint) }

// isDevice reports whether all printer values lie in 0..1.
func isDevice(device [3]float64) bool {
	for _, v := range device {
		if math.IsNaN(v) || v < 0 || v > 1 {
			return false
		}
	}
	return true
}

// check refuses options that no page can be made with.
func (o Options) check() error {
	f := o.Film
	if !sideFits(f.WidthMM) || !sideFits(f.HeightMM) {
		return fault.New("", "", fmt.Sprintf("the film is %g x %g mm; a side must be from %d to %d mm", f.WidthMM, f.HeightMM, leastSideMM, mostSideMM),
			"name the film, for example --film A4")
	}
	if !(f.MarginMM >= 0 && 2*f.MarginMM < math.Min(f.WidthMM, f.HeightMM)) {
		return fault.New("", "", fmt.Sprintf("a margin of %g mm; it must be 0 or more and leave some of the film", f.MarginMM), "give --margin in millimetres, for example 3")
	}
	if !(o.GapMM >= 0 && o.GapMM <= mostSideMM) {
		return fault.New("", "", fmt.Sprintf("a gap of %g mm between negatives; it must be 0 or more", o.GapMM), "give --gap in millimetres, for example 5")
	}
	if (o.CutMarks || o.InOrder && !o.Bare) && o.GapMM < leastCutGap {
		return fault.New("", "", fmt.Sprintf("a gap of %g mm between negatives has no room to cut in", o.GapMM), "leave at least 1 mm, for example --gap 5")
	}
	if o.Depth != 0 && o.Depth != 8 && o.Depth != 16 {
		return fault.New("", "", fmt.Sprintf("%d bits of each sample; there may be 8 or 16", o.Depth), "leave it out for the films' own")
	}
	return nil
}

// date returns when the file says it was made.
func (o Options) date() time.Time {
	if o.Date.IsZero() {
		return time.Unix(0, 0).UTC()
	}
	return o.Date.UTC()
}
