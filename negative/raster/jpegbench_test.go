package raster

import (
	"bytes"
	"image"
	"image/jpeg"
	"testing"
)

// BenchmarkJPEGRows is the way from decoded planes to rows of 16 bits.
func BenchmarkJPEGRows(b *testing.B) {
	m := image.NewYCbCr(image.Rect(0, 0, 4000, 64), image.YCbCrSubsampleRatio420)
	for i := range m.Y {
		m.Y[i] = byte(i * 31 >> 3)
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = byte(100+i%50), byte(120+i%17)
	}
	p, row := &jpegPlanes{colours: jpegYCC, three: m}, make([]uint16, 3*4000)
	b.SetBytes(4000) // MB/s are megapixels a second
	for y := 0; b.Loop(); y = (y + 1) % 64 {
		jpegRow(row, p, y)
	}
}

// BenchmarkJPEGDecode is all of it, by pixel.
func BenchmarkJPEGDecode(b *testing.B) {
	var file bytes.Buffer
	m := image.NewGray(image.Rect(0, 0, 1000, 1000))
	for i := range m.Pix {
		m.Pix[i] = byte(i*i>>9 ^ i>>3)
	}
	if err := jpeg.Encode(&file, m, nil); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(1000 * 1000)
	row := make([]uint16, 1000)
	for b.Loop() {
		d, err := newJPEGDecoder(bytes.NewReader(file.Bytes()), int64(file.Len()))
		if err != nil {
			b.Fatal(err)
		}
		for range 1000 {
			if err := d.readRow(row); err != nil {
				b.Fatal(err)
			}
		}
	}
}
