package scan

import (
	"context"
	"image"
	"io"

	"actinic/negative/raster"
)

// WritePicture draws what was found where in each scan, one below the other, as
// an sRGB PNG: marks found and missing, the areas that were read, those not to be
// trusted, the steps of the tablet, the box for tape, and a legend.
func (r *Result) WritePicture(w io.Writer) error {
	var panels []*image.RGBA
	for _, p := range r.scans {
		panels = append(panels, p.panel(r.Chart))
	}
	return writePNG(w, stack(panels))
}

// panelGap is the space between pictures of several scans, pixels.
const panelGap = 24

// stack puts pictures below each other on white.
func stack(panels []*image.RGBA) *image.RGBA {
	width, height := 1, 0
	for i, p := range panels {
		width = max(width, p.Rect.Dx())
		height += p.Rect.Dy()
		if i > 0 {
			height += panelGap
		}
	}
	out := newCanvas(width, max(height, 1))
	y := 0
	for _, p := range panels {
		for row := range p.Rect.Dy() {
			copy(out.Pix[(y+row)*out.Stride:], p.Pix[row*p.Stride:row*p.Stride+4*p.Rect.Dx()])
		}
		y += p.Rect.Dy() + panelGap
	}
	return out.RGBA
}

func writePNG(w io.Writer, m *image.RGBA) error {
	h := raster.Header{Width: m.Rect.Dx(), Height: m.Rect.Dy(), Channels: 3, Bits: 8, Orientation: 1}
	sink, err := raster.NewPNG(w, h, &raster.PNGOptions{SRGB: true})
	if err != nil {
		return err
	}
	defer sink.Abort()
	band := raster.NewBand(h, 1)
	for y := range h.Height {
		for x := range h.Width {
			for c := range 3 {
				band[0][3*x+c] = uint16(m.Pix[y*m.Stride+4*x+c]) * 257
			}
		}
		if err := sink.WriteRows(context.Background(), band); err != nil {
			return err
		}
	}
	return sink.Commit()
}
