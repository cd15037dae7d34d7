package raster_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"testing"

	"actinic/negative/raster"
)

// chunk is one chunk of a PNG file made by hand.
type chunk struct {
	kind string
	data []byte
}

func ihdr(w, h uint32, depth, kind, interlace byte) chunk {
	b := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return chunk{"IHDR", append(b, depth, kind, 0, 0, interlace)}
}

// makePNG joins chunks and adds IEND.
func makePNG(chunks ...chunk) []byte {
	out := []byte("\x89PNG\r\n\x1a\n")
	for _, c := range append(chunks, chunk{"IEND", nil}) {
		out = binary.BigEndian.AppendUint32(out, uint32(len(c.data)))
		body := append([]byte(c.kind), c.data...)
		out = append(out, body...)
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(body))
	}
	return out
}

// idat packs rows, each with its filter byte.
func idat(rows ...byte) chunk { return chunk{"IDAT", zipped(rows)} }

func zipped(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	z.Write(b)
	z.Close()
	return out.Bytes()
}

// Pixels worked out by hand from PNG, 2nd edition (W3C 2003).
func TestPNGByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		file []byte
		want pixels
	}{
		{"1 bit", makePNG(ihdr(10, 1, 1, 0, 0), idat(0, 0b10110001, 0b01000000)), expanded(10, 1, 1, []byte{255, 0, 255, 255, 0, 0, 0, 255, 0, 255})},
		{"2 bits", makePNG(ihdr(5, 1, 2, 0, 0), idat(0, 0b00011011, 0b10000000)), expanded(5, 1, 1, []byte{0, 85, 170, 255, 170})},
		{"4 bits", makePNG(ihdr(3, 1, 4, 0, 0), idat(0, 0x1f, 0x80)), expanded(3, 1, 1, []byte{17, 255, 136})},
		{"palette with alpha", makePNG(ihdr(3, 1, 2, 3, 0), chunk{"PLTE", []byte{1, 2, 3, 100, 0, 200, 9, 9, 9}}, chunk{"tRNS", []byte{255, 51, 0}}, idat(0, 0b00011000)),
			expanded(3, 1, 3, []byte{1, 2, 3, 224, 204, 244, 255, 255, 255})},
		{"one transparent grey", makePNG(ihdr(3, 1, 8, 0, 0), chunk{"tRNS", []byte{0, 7}}, idat(0, 6, 7, 8)), expanded(3, 1, 1, []byte{6, 255, 8})},
		{"one transparent colour", makePNG(ihdr(2, 1, 8, 2, 0), chunk{"tRNS", []byte{0, 1, 0, 2, 0, 3}}, idat(0, 1, 2, 3, 1, 2, 4)), expanded(2, 1, 3, []byte{255, 255, 255, 1, 2, 4})},
		{"grey and alpha", makePNG(ihdr(2, 1, 8, 4, 0), idat(0, 100, 51, 7, 255)), expanded(2, 1, 1, []byte{224, 7})},
		{"filters", makePNG(ihdr(3, 5, 8, 0, 0), idat(
			0, 10, 20, 30, // none
			1, 5, 5, 5, // left
			2, 1, 1, 1, // up
			3, 3, 3, 3, // average of left and up, down to a whole number
			4, 1, 1, 1)), // Paeth
			expanded(3, 5, 1, []byte{10, 20, 30, 5, 10, 15, 6, 11, 16, 6, 11, 16, 7, 12, 17})},
		{"data in several chunks", func() []byte {
			z := zipped([]byte{0, 1, 2, 3})
			return makePNG(ihdr(3, 1, 8, 0, 0), chunk{"IDAT", z[:1]}, chunk{"IDAT", nil}, chunk{"IDAT", z[1:5]}, chunk{"IDAT", z[5:]})
		}(), expanded(3, 1, 1, []byte{1, 2, 3})},
	} {
		same(t, c.name, read(t, memorySource(t, c.file)), c.want)
	}
}

func TestPNGHeader(t *testing.T) {
	picture := idat(0, 1, 2, 3)
	profile := []byte("a profile, not looked at here")
	exif := makeTIFF(binary.BigEndian, nil, []tag{shorts(orientation, 8)})
	s := memorySource(t, makePNG(ihdr(3, 1, 8, 0, 0), chunk{"gAMA", []byte{0, 1, 0x86, 0xa0}}, chunk{"iCCP", append([]byte("name\x00\x00"), zipped(profile)...)},
		chunk{"pHYs", []byte{0, 0, 0x2e, 0x23, 0, 0, 0x17, 0x12, 1}}, chunk{"eXIf", exif}, chunk{"tEXt", []byte("Description\x00Gr\xfcne M\xfchle")}, picture))
	h := s.Header()
	if string(h.Profile) != string(profile) || h.Gamma != 0 {
		t.Errorf("profile %q, gamma %g", h.Profile, h.Gamma)
	}
	if h.PPIX != 300 || h.PPIY != 150 || h.Orientation != 8 || h.Description != "Grüne Mühle" || h.Access != raster.Sequential {
		t.Errorf("%+v", h)
	}
	// 11.3.3.2: gAMA holds the encoding exponent times 100000; sRGB overrides it.
	for _, c := range []struct {
		more []chunk
		want float64
	}{
		{[]chunk{{"gAMA", []byte{0, 1, 0x86, 0xa0}}}, 1},
		{[]chunk{{"gAMA", []byte{0, 0, 0xd9, 0x03}}}, 1.8}, // 55555
		{[]chunk{{"gAMA", []byte{0, 0, 0xb1, 0x8f}}}, 0},   // 45455: sRGB
		{[]chunk{{"gAMA", []byte{0, 1, 0x86, 0xa0}}, {"sRGB", []byte{0}}}, 0},
		{[]chunk{{"pHYs", []byte{0, 0, 0, 1, 0, 0, 0, 2, 0}}}, 0}, // only a shape
	} {
		h := memorySource(t, makePNG(append(append([]chunk{ihdr(3, 1, 8, 0, 0)}, c.more...), picture)...)).Header()
		if d := h.Gamma - c.want; d > 1e-3 || d < -1e-3 || h.PPIX != 0 {
			t.Errorf("%v: gamma %g, want %g; ppi %g", c.more, h.Gamma, c.want, h.PPIX)
		}
	}
}

func TestPNGRefuses(t *testing.T) {
	picture := idat(0, 1, 2, 3)
	spoiled := func(file []byte, at int) []byte {
		file[at] ^= 0x10
		return file
	}
	whole := func() []byte { return makePNG(ihdr(3, 1, 8, 0, 0), picture) }
	for name, c := range map[string]struct {
		file []byte
		what string
	}{
		"cut":               {whole()[:45], "chunk IDAT: ends at byte"},
		"no end":            {whole()[:len(whole())-12], "chunks"},
		"signature alone":   {whole()[:8], "needs 8 bytes"},
		"no header":         {makePNG(picture), "expected IHDR"},
		"no data":           {makePNG(ihdr(3, 1, 8, 0, 0)), "no picture data"},
		"no palette":        {makePNG(ihdr(3, 1, 8, 3, 0), picture), "no palette"},
		"odd palette":       {makePNG(ihdr(3, 1, 8, 3, 0), chunk{"PLTE", []byte{1, 2}}, picture), "PLTE"},
		"colour not there":  {makePNG(ihdr(3, 1, 8, 3, 0), chunk{"PLTE", []byte{1, 2, 3}}, picture), "colour 1 of a palette of 1"},
		"header twice":      {makePNG(ihdr(3, 1, 8, 0, 0), ihdr(3, 1, 8, 0, 0), picture), "IHDR"},
		"no pixels":         {makePNG(ihdr(0, 1, 8, 0, 0), picture), "0 x 1 pixels"},
		"depth":             {makePNG(ihdr(3, 1, 3, 0, 0), picture), "does not exist"},
		"header damaged":    {spoiled(whole(), 20), "checksum"},
		"data damaged":      {spoiled(whole(), 45), "row 1 of 1"},
		"filter":            {makePNG(ihdr(3, 1, 8, 0, 0), idat(7, 1, 2, 3)), "filter 7"},
		"rows missing":      {makePNG(ihdr(3, 2, 8, 0, 0), idat(0, 1, 2, 3, 0)), "end before row 2 of 2"},
		"profile of nobody": {makePNG(ihdr(3, 1, 8, 0, 0), chunk{"iCCP", []byte("x")}, picture), "iCCP"},
		"claims much":       {makePNG(ihdr(40000, 40000, 8, 2, 0), picture), "claims a picture"},
	} {
		var f *raster.FormatError
		refused(t, name, decode(c.file), &f, c.what)
	}
	var u *raster.UnsupportedError
	refused(t, "too large", decode(makePNG(ihdr(1<<31-1, 1<<31-1, 8, 0, 0), picture)), &u, "2147483647 x 2147483647")
	refused(t, "a critical chunk", decode(makePNG(ihdr(3, 1, 8, 0, 0), chunk{"ABCD", nil}, picture)), &u, "ABCD")
	refused(t, "an interlace", decode(makePNG(ihdr(3, 1, 8, 0, 2), picture)), &u, "interlace 2")
}

// TestPNGAgainstLibrary reads what the standard library writes, of each of its
// kinds, and compares with what it reads.
func TestPNGAgainstLibrary(t *testing.T) {
	box := image.Rect(0, 0, 33, 21)
	for name, m := range map[string]interface {
		image.Image
		Set(x, y int, c color.Color)
	}{
		"grey": image.NewGray(box), "grey 16": image.NewGray16(box), "RGB": image.NewRGBA(box), "RGB 16": image.NewRGBA64(box),
		"alpha": image.NewNRGBA(box), "alpha 16": image.NewNRGBA64(box), "palette": image.NewPaletted(box, color.Palette{color.Black, color.NRGBA{9, 200, 30, 77}, color.White}),
	} {
		clear := name == "alpha" || name == "alpha 16"
		for y := range box.Dy() {
			for x := range box.Dx() {
				a := uint16(65535)
				if clear {
					a = grain(x, y, 3)
				}
				m.Set(x, y, color.NRGBA64{grain(x, y, 0), grain(x, y, 1), grain(x, y, 2), a})
			}
		}
		var file bytes.Buffer
		if err := png.Encode(&file, m); err != nil {
			t.Fatal(err)
		}
		s := memorySource(t, file.Bytes())
		back, err := png.Decode(&file)
		if err != nil {
			t.Fatal(err)
		}
		same(t, name, read(t, s), onWhite(back, s.Header().Channels))
		s.Restart()
		same(t, name+" again", read(t, s), onWhite(back, s.Header().Channels))
	}
}

// onWhite composites the pixels of a library's image on white: to the nearest
// whole number of exact fractions.
func onWhite(m image.Image, channels int) pixels {
	b := m.Bounds()
	return paint(b.Dx(), b.Dy(), channels, func(x, y, c int) uint16 {
		v := straight(m.At(x, y))
		sample := uint64([3]uint16{v.R, v.G, v.B}[c])
		num := sample*uint64(v.A) + 65535*(65535-uint64(v.A))
		return uint16((2*num + 65535) / (2 * 65535))
	})
}

// straight returns 16-bit samples that are not multiplied by alpha. The library's
// own conversion of 8-bit ones would lose some by multiplying and dividing.
func straight(c color.Color) color.NRGBA64 {
	if n, ok := c.(color.NRGBA); ok {
		return color.NRGBA64{uint16(n.R) * 257, uint16(n.G) * 257, uint16(n.B) * 257, uint16(n.A) * 257}
	}
	return color.NRGBA64Model.Convert(c).(color.NRGBA64)
}
