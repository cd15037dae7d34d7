package sheet

import (
	"context"
	"fmt"
	"io"
	"math"

	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// sourceRows gives a finished negative's rows, a band at a time.
type sourceRows struct {
	src    raster.Source
	ctx    context.Context
	f      imageForm
	dither *tone.Diffuser // from 16 bits to 8; nil where none are lost
	band   [][]uint16
	left   [][]uint16 // of band, not given out yet
}

// pictureJob returns the image of an item, stored with depth bits (0: those of
// the picture), and notes its form for the check strip, which comes after it.
func pictureJob(it Item, depth int, form *imageForm) imageJob {
	return func(ctx context.Context) (pixels, error) {
		src, err := it.Open()
		if err != nil {
			return nil, err
		}
		h := src.Header()
		if err := it.checkHeader(h); err != nil {
			src.Close()
			return nil, err
		}
		*form = formOf(h, depth)
		s := &sourceRows{src: src, ctx: ctx, f: *form, band: raster.NewBand(h, bandRows(h))}
		if form.bits < h.Bits {
			s.dither = tone.NewDiffuser(h.Width, h.Height, h.Channels)
		}
		return s, nil
	}
}

// mostBandRows and mostBandBytes bound what is held of files that keep many rows
// together, or have wide ones.
const (
	mostBandRows  = 64
	mostBandBytes = 4 << 20
)

func bandRows(h raster.Header) int {
	return max(1, min(h.BandRows, mostBandRows, mostBandBytes/(2*h.RowSamples())))
}

// formOf returns how the PDF stores a picture: with depth bits, or if that is 0,
// with 8 where those are all.
func formOf(h raster.Header, depth int) imageForm {
	f := imageForm{width: h.Width, height: h.Height, channels: h.Channels, bits: depth}
	switch {
	case depth != 0:
	case h.Bits <= 8:
		f.bits = 8
	default:
		f.bits = 16
	}
	return f
}

// checkHeader refuses samples that are no printer values, rows that lie another
// way than they are to be printed, and a size that would stretch the picture: by
// more than half a pixel's rounding on each side and half a per cent.
func (it Item) checkHeader(h raster.Header) error {
	if h.Space != raster.ByChannels || (h.Channels != 1 && h.Channels != 3) {
		return it.fault("the film is neither grey nor RGB: its values can't go to the printer as they are",
			"place the film that 'actinic negative' made, or make it anew from the picture")
	}
	if h.Orientation > 1 {
		return it.fault(fmt.Sprintf("the picture is stored turned or mirrored (orientation %d, expected 1)", h.Orientation),
			"open it in an editor and save it upright, or make the negative anew")
	}
	w, ht := float64(h.Width), float64(h.Height)
	ratio := it.WidthMM / it.HeightMM * ht / w
	if math.Abs(ratio-1) <= 0.005+0.5/w+0.5/ht {
		return nil
	}
	return it.fault(fmt.Sprintf("%d x %d pixels would be stretched to %s", h.Width, h.Height, sizeText(it.WidthMM, it.HeightMM)),
		"give a size of the picture's own shape, or make the negative anew with --size")
}

func (s *sourceRows) form() imageForm { return s.f }
func (s *sourceRows) close() error    { return s.src.Close() }

func (s *sourceRows) readRow(dst []byte) error {
	if len(s.left) == 0 {
		n, err := s.src.ReadRows(s.ctx, s.band)
		if err == io.EOF {
			err = io.ErrUnexpectedEOF // rows were promised by the header
		}
		if err != nil {
			return err
		}
		s.left = s.band[:n]
	}
	row := s.left[0][:s.f.width*s.f.channels]
	s.left = s.left[1:]
	if s.dither != nil {
		s.dither.Row(dst, row)
	} else {
		pack(dst, row, s.f.bits)
	}
	return s.ctx.Err()
}

// pack stores 16-bit samples as the file does; 8-bit ones are v x 257.
func pack(dst []byte, row []uint16, bits int) {
	if bits == 8 {
		for i, v := range row {
			dst[i] = byte(v >> 8)
		}
		return
	}
	for i, v := range row {
		dst[2*i], dst[2*i+1] = byte(v>>8), byte(v)
	}
}

// SizeMM returns the size in millimetres that a finished negative states by its
// pixels and its resolution. It fails with *fault.Error, under the file's name,
// where there is no resolution or the size is none that film can have.
func SizeMM(name string, h raster.Header) (widthMM, heightMM float64, err error) {
	if !(h.PPIX > 0 && h.PPIY > 0) {
		return 0, 0, fault.New(name, "", "the picture does not state its resolution, so it has no size",
			"make the negative anew with --size or --ppi")
	}
	widthMM, heightMM = float64(h.Width)*mmPerInch/h.PPIX, float64(h.Height)*mmPerInch/h.PPIY
	if !sideFits(widthMM) || !sideFits(heightMM) {
		return 0, 0, fault.New(name, "", fmt.Sprintf("%d x %d pixels at %g x %g ppi are %s; a side must be from %d to %d mm",
			h.Width, h.Height, h.PPIX, h.PPIY, sizeText(widthMM, heightMM), leastSideMM, mostSideMM),
			"make the negative anew with --size or --ppi")
	}
	return widthMM, heightMM, nil
}
