package raster

import (
	"io"
	"unicode/utf8"

	"actinic/negative/packing"
)

// pngSink writes a PNG file of one picture, an IDAT chunk a strip.
type pngSink struct {
	strips
	w       io.Writer
	buffers stripBuffers
	sum     packing.Sum
}

// PNGOptions says how a PNG file is written. The zero value leaves the samples
// untagged, as film goes to the printer, and packs on all cores.
type PNGOptions struct {
	SRGB bool // say that the samples are sRGB: proofs and previews
	// Jobs is the number of cores that pack what WriteRows takes, 0 for all. The
	// file does not depend on it.
	Jobs int
}

// NewPNG returns a sink that writes a PNG file to w: grey or RGB of 8 or 16 bits,
// upright, with the Width, Height, Channels, Bits, PPIX and PPIY (rounded to
// pixels a metre, none when 0) and Description of h. Equal rows give equal bytes,
// whichever way they come.
//
// It fails where NewTIFF does.
func NewPNG(w io.Writer, h Header, o *PNGOptions) (StripSink, error) {
	if o == nil {
		o = &PNGOptions{}
	}
	if err := checkSink("PNG", h); err != nil {
		return nil, err
	}
	s := &pngSink{w: w, buffers: newStripBuffers(h)}
	s.begin(h, o.Jobs, s.newPacker, s.store)
	_, err := w.Write(s.start(o.SRGB))
	return s, err
}

func (s *pngSink) newPacker() Packer {
	return &pngPacker{head: s.head, deflate: packing.New(), buffers: s.buffers}
}

// start returns what stands before the pixels, and the first bytes of their
// stream.
func (s *pngSink) start(srgb bool) []byte {
	h := s.head
	out := []byte(pngSignature)
	size := big.AppendUint32(big.AppendUint32(nil, uint32(h.Width)), uint32(h.Height))
	colour := map[int]byte{1: 0, 3: 2}[h.Channels] // 11.2.2: 0 greyscale, 2 truecolour
	out = appendChunk(out, "IHDR", append(size, byte(h.Bits), colour, 0, 0, 0))
	if srgb {
		out = appendChunk(out, "sRGB", []byte{1}) // 11.3.3.5: relative colorimetric
	}
	if h.PPIX > 0 && h.PPIY > 0 {
		out = appendChunk(out, "pHYs", append(big.AppendUint32(big.AppendUint32(nil, perMetre(h.PPIX)), perMetre(h.PPIY)), 1))
	}
	if h.Description != "" {
		kind, data := descriptionChunk(h.Description)
		out = appendChunk(out, kind, data)
	}
	return appendChunk(out, "IDAT", packing.Header())
}

func appendChunk(out []byte, kind string, data []byte) []byte {
	at := len(out)
	out = append(append(append(out, 0, 0, 0, 0), kind...), data...)
	return append(out[:at], endChunk(out[at:])...)
}

// descriptionChunk returns the text as tEXt, which every reader knows, or as
// iTXt where Latin-1 does not hold it (11.3.4).
func descriptionChunk(text string) (kind string, data []byte) {
	const keyword = "Description\x00"
	latin := []byte(keyword)
	for _, r := range text {
		if r == 0 || r > 0xff || r == utf8.RuneError {
			return "iTXt", []byte(keyword + "\x00\x00\x00\x00" + text)
		}
		latin = append(latin, byte(r))
	}
	return "tEXt", latin
}

// store writes a strip.
func (s *pngSink) store(strip Strip) error {
	s.sum.Add(strip.piece)
	if _, err := s.w.Write(strip.Data); err != nil {
		return err
	}
	s.buffers.put(strip.Data)
	return nil
}

// Commit writes the end of the data and of the file.
func (s *pngSink) Commit() error {
	if err := s.finish(); err != nil {
		return err
	}
	out := appendChunk(nil, "IDAT", s.sum.Trailer())
	_, err := s.w.Write(appendChunk(out, "IEND", nil))
	return err
}
