package scan

// Plane is the light of a scan: CIE Y relative to the scale's white, 0 to 1, one
// value a pixel. Its pixels are Reduced x Reduced pixels of the scan each, as
// the file stores them.
//
// A pixel p stands for Y = (p / 65535)²: 16 bits are fine enough that way in the
// darkest tones, and no power is needed to undo it.
type Plane struct {
	Width, Height int
	Reduced       int // scan pixels to one pixel of the plane, 1 or more
	Root          []uint16
	// PPI is the scan's resolution as its file states it, in scan pixels; 0 when
	// the file states none.
	PPI float64
}

// At returns Y of a pixel.
func (p *Plane) At(x, y int) float64 {
	v := float64(p.Root[y*p.Width+x]) / 65535
	return v * v
}

// Point is a place in a plane, in its pixels: the middle of the top-left pixel
// is 0.5, 0.5.
type Point struct{ X, Y float64 }

// Located is a page of a chart as it lies in a scan.
type Located struct {
	Page     int  // index into the chart's pages
	Mirrored bool // the print shows the page mirrored left to right
	CodeRead bool // the page was told by its code; otherwise by its marks alone
	Marks    []FoundMark
	// ScaleX and ScaleY are plane pixels a millimetre across and down the page.
	ScaleX, ScaleY float64
	AngleDegrees   float64 // the page's turn in the scan, clockwise, -180 to 180
	Warp           *Warp
	Notices        []string // whole sentences for the user
}

// FoundMark is one mark of the page, found or not.
type FoundMark struct {
	ID         string
	Found      bool
	At         Point   // where it was found; where it should be if not
	ResidualMM float64 // from where the smooth map of the page has it
}
