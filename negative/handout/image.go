package handout

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"fmt"

	"github.com/jung-kurt/gofpdf"
)

// image places a JPEG. It goes by its content: once in the file is enough.
func (b *book) image(jpeg []byte, x, y, w, h float64) {
	name := fmt.Sprintf("%x", sha256.Sum256(jpeg))
	opts := gofpdf.ImageOptions{ImageType: "jpg"}
	pdf := b.pen.pdf
	if pdf.GetImageInfo(name) == nil {
		if info := pdf.RegisterImageOptionsReader(name, opts, bytes.NewReader(jpeg)); info != nil {
			b.images++
			pdf.SetError(widen(info, float64(b.images)/mostImages))
		}
	}
	pdf.ImageOptions(name, x, y, w, h, false, opts, 0, "")
}

// mostImages is more than a file holds: a pixel is divided by it.
const mostImages = 1 << 20

// widen adds part of a pixel to an image's width. The PDF library writes images
// in the order of their widths, and those of one width in any order, other bytes
// each time; of the width it writes whole pixels only.
func widen(info *gofpdf.ImageInfoType, byPX float64) error {
	raw, err := info.GobEncode()
	if err != nil {
		return err
	}
	var data, softMask, palette []byte
	var number, bits int
	var width, height, scale, dpi float64
	var space, filter, params string
	var mask []int
	in := gob.NewDecoder(bytes.NewReader(raw))
	fields := []any{&data, &softMask, &number, &width, &height, &space, &palette, &bits, &filter, &params, &mask, &scale, &dpi}
	for _, f := range fields {
		if err := in.Decode(f); err != nil {
			return err
		}
	}
	width += byPX
	var out bytes.Buffer
	w := gob.NewEncoder(&out)
	for _, f := range fields {
		if err := w.Encode(f); err != nil {
			return err
		}
	}
	return info.GobDecode(out.Bytes())
}
