package main

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/tiff"
)

// grainy returns a grey 16-bit picture that does not pack well: a slope and
// grain, from a seed.
func grainy(width, height int, seed uint64) *image.Gray16 {
	m := image.NewGray16(image.Rect(0, 0, width, height))
	r := rand.New(rand.NewPCG(seed, 0))
	for y := range height {
		for x := range width {
			m.SetGray16(x, y, color.Gray16{Y: uint16(60000*(x+y)/(width+height) + r.IntN(4000))})
		}
	}
	return m
}

// noise returns so many bytes that do not pack at all, the same always.
func noise(n int) []byte {
	data := make([]byte, n)
	_, _ = rand.NewChaCha8([32]byte{}).Read(data) // never fails
	return data
}

// encoded returns a picture as a file, by an encoder that is not ours.
func encoded(t *testing.T, m image.Image, encode func(io.Writer, image.Image) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(w io.Writer, m image.Image) error { return png.Encode(w, m) }

func asFastPNG(w io.Writer, m image.Image) error {
	return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, m)
}

func asJPEG(w io.Writer, m image.Image) error { return jpeg.Encode(w, m, nil) }

func asTIFF(w io.Writer, m image.Image) error { return tiff.Encode(w, m, nil) }

func asDeflatedTIFF(w io.Writer, m image.Image) error {
	return tiff.Encode(w, m, &tiff.Options{Compression: tiff.Deflate})
}
