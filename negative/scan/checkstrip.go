package scan

import (
	"context"
	"fmt"
	"math"

	"actinic/negative/chart"
	"actinic/process/fault"
)

// How a check strip is laid out as a page of its own, in millimetres: any size
// does, since the corners say how large it is in the scan. The marks that a chart
// would have there are too small to be taken for anything on a print.
const (
	stripPatchMM = 8.0
	stripRoomMM  = 10.0
	stripMarkMM  = 0.5
)

// stripCorners is the hint where the corners are not those of a strip.
const stripCorners = "give the corners of the row of patches in scan pixels: the outer ones of the first patch's and the last one's ends, from the top left clockwise as the numbers stand upright"

// The widest and the narrowest patch there is, as a share of its height: a narrow
// film makes narrow patches.
const (
	narrowestPatch = 0.15
	widestPatch    = 4
)

// ReadStrip reads the check strip beside a picture from a scan of its print:
// patches of one size in a row, named from left to right, between the four corners
// of that row (o.Corners). A strip has no marks, so it is not looked for. Errors are
// *fault.Error.
func ReadStrip(ctx context.Context, in Input, names []string, o *Options) (*Result, error) {
	page, err := stripPage(names, *o.Corners)
	if err != nil {
		return nil, err
	}
	return Read(ctx, []Input{in}, &chart.Chart{Kind: chart.Ramp, Pages: []chart.Page{page}}, o)
}

// stripPage lays the strip out in the proportions that its corners have.
func stripPage(names []string, c [4]Point) (chart.Page, error) {
	wide := (sideLength(c[0], c[1]) + sideLength(c[3], c[2])) / 2 / float64(len(names))
	high := (sideLength(c[0], c[3]) + sideLength(c[1], c[2])) / 2
	if !(wide >= narrowestPatch*high && wide <= widestPatch*high) {
		return chart.Page{}, fault.New("", "--corners", fmt.Sprintf("patches of %.0f x %.0f pixels, %d of them in a row, are none of a check strip", wide, high, len(names)), stripCorners)
	}
	patchWide := stripPatchMM * wide / high
	width := patchWide * float64(len(names))
	p := chart.Page{WidthMM: width + 2*stripRoomMM, HeightMM: stripPatchMM + 2*stripRoomMM, PPI: 25.4 * high / stripPatchMM}
	for i, id := range cornerIDs {
		right, below := i == 1 || i == 2, i > 1
		m := chart.Mark{ID: id, XMM: stripRoomMM, YMM: stripRoomMM, DiameterMM: stripMarkMM}
		if right {
			m.XMM += width
		}
		if below {
			m.YMM += stripPatchMM
		}
		p.Marks = append(p.Marks, m)
	}
	for i, name := range names {
		p.Patches = append(p.Patches, chart.Patch{ID: name, Rect: chart.Rect{
			XMM: stripRoomMM + float64(i)*patchWide, YMM: stripRoomMM, WidthMM: patchWide, HeightMM: stripPatchMM}})
	}
	return p, nil
}

func sideLength(a, b Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
