package raster_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"actinic/negative/raster"
)

// segment is a marker segment of a JPEG file (ITU-T T.81, B.1.1.4).
func segment(marker byte, data []byte) []byte {
	out := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(data)+2))
	return append(out, data...)
}

// makeJPEG puts segments into a file of the standard library's encoder.
func makeJPEG(t testing.TB, m image.Image, segments ...[]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return append(append([]byte{0xff, 0xd8}, bytes.Join(segments, nil)...), b.Bytes()[2:]...)
}

func greySlope() image.Image {
	m := image.NewGray(image.Rect(0, 0, 19, 11))
	for y := range 11 {
		for x := range 19 {
			m.SetGray(x, y, color.Gray{Y: uint8(9*x + 3*y)})
		}
	}
	return m
}

func exif(tags ...tag) []byte {
	return segment(0xe1, append([]byte("Exif\x00\x00"), makeTIFF(binary.BigEndian, nil, tags)...))
}

func TestJPEGHeader(t *testing.T) {
	jfif := segment(0xe0, []byte("JFIF\x00\x01\x02\x01\x01\x2c\x00\x96\x00\x00")) // 300 x 150 dots an inch
	long := bytes.Repeat([]byte("0123456789abcdef"), 6000)                        // more than one segment holds
	part := func(i, n byte, p []byte) []byte {
		return segment(0xe2, append([]byte("ICC_PROFILE\x00"), append([]byte{i, n}, p...)...))
	}
	ratio := func(n uint16, v uint32) tag { return tag{n, 5, []uint32{v, 1}} }
	for name, c := range map[string]struct {
		segments    [][]byte
		ppi         [2]float64
		orientation int
		profile     []byte
	}{
		"nothing":          {nil, [2]float64{}, 1, nil},
		"JFIF":             {[][]byte{jfif}, [2]float64{300, 150}, 1, nil},
		"EXIF":             {[][]byte{exif(shorts(orientation, 6), ratio(282, 72), ratio(283, 72), shorts(296, 2))}, [2]float64{72, 72}, 6, nil},
		"JFIF first":       {[][]byte{jfif, exif(shorts(orientation, 3), ratio(282, 72), ratio(283, 72), shorts(296, 2))}, [2]float64{300, 150}, 3, nil},
		"EXIF broken":      {[][]byte{segment(0xe1, []byte("Exif\x00\x00II*\x00\xff\xff\xff\xff"))}, [2]float64{}, 1, nil},
		"EXIF nonsense":    {[][]byte{exif(shorts(orientation, 77))}, [2]float64{}, 1, nil},
		"profile":          {[][]byte{part(1, 1, []byte("abc"))}, [2]float64{}, 1, []byte("abc")},
		"profile, parts":   {[][]byte{part(2, 2, long[50000:]), part(1, 2, long[:50000])}, [2]float64{}, 1, long},
		"other segments":   {[][]byte{segment(0xe1, []byte("http://ns")), segment(0xe2, []byte("MPF\x00")), segment(0xfe, []byte("a comment"))}, [2]float64{}, 1, nil},
		"fill and comment": {[][]byte{{0xff, 0xff}, segment(0xfe, nil)[1:]}, [2]float64{}, 1, nil},
	} {
		s := memorySource(t, makeJPEG(t, greySlope(), c.segments...))
		h := s.Header()
		if h.PPIX != c.ppi[0] || h.PPIY != c.ppi[1] || h.Orientation != c.orientation || !bytes.Equal(h.Profile, c.profile) {
			t.Errorf("%s: %g x %g ppi, orientation %d, profile of %d bytes", name, h.PPIX, h.PPIY, h.Orientation, len(h.Profile))
		}
		if h.Width != 19 || h.Height != 11 || h.Channels != 1 || h.Access != raster.Whole {
			t.Errorf("%s: %+v", name, h)
		}
		read(t, s)
	}
}

func TestJPEGRefuses(t *testing.T) {
	whole := makeJPEG(t, greySlope())
	frame := bytes.Index(whole, []byte{0xff, 0xc0})
	changed := func(at int, v byte) []byte {
		out := bytes.Clone(whole)
		out[at] = v
		return out
	}
	var f *raster.FormatError
	for name, c := range map[string]struct {
		file []byte
		what string
	}{
		"cut in the header":  {whole[:frame+4], "segment 0xc0: the file ends here"},
		"cut before it":      {whole[:frame], "markers: the file ends here"},
		"cut in the picture": {whole[:len(whole)-20], "picture data: short Huffman data"},
		"no frame":           {append([]byte{0xff, 0xd8, 0xff, 0xfe, 0, 2}, segment(0xda, nil)...), "no frame header"},
		"no picture":         {[]byte{0xff, 0xd8, 0xff, 0xd9}, "ends before"},
		"no marker":          {[]byte{0xff, 0xd8, 0xff, 0xfe, 0, 2, 7}, "expected a marker"},
		"no length":          {[]byte{0xff, 0xd8, 0xff, 0xfe, 0, 1}, "length 1"},
		"no size":            {changed(frame+8, 0)[:], "0 x 11"},
		"profile in parts":   {makeJPEG(t, greySlope(), segment(0xe2, []byte("ICC_PROFILE\x00\x01\x02abc"))), "part 2 of 2 is missing"},
		"sampling":           {changed(frame+11, 0x50), "sampling factors 5 x 0"},
		"frame too short":    {append([]byte{0xff, 0xd8}, segment(0xc0, []byte{8, 0, 1})...), "too short"},
		"large for its size": {changed(frame+5, 0xff), "claims 19 x 65291 pixels"},
	} {
		if name == "large for its size" {
			c.file[frame+7] = 0xff
			c.what = "claims 65299 x 65291 pixels"
			var u *raster.UnsupportedError
			refused(t, name, decode(c.file), &u, "65299 x 65291")
			c.file[frame+7], c.what = 0x60, "claims 24595 x 65291 pixels"
		}
		refused(t, name, decode(c.file), &f, c.what)
	}
	var u *raster.UnsupportedError
	for marker, what := range map[byte]string{0xc3: "lossless", 0xc9: "arithmetic", 0xc5: "hierarchical"} {
		refused(t, what, decode(changed(frame+1, marker)), &u, what)
	}
	refused(t, "12 bits", decode(changed(frame+4, 12)), &u, "12-bit")
	refused(t, "height later", decode(changed(frame+6, 0)), &u, "height")
	four := segment(0xc0, []byte{8, 0, 8, 0, 8, 4, 1, 17, 0, 2, 17, 0, 3, 17, 0, 4, 17, 0})
	four = append(append([]byte{0xff, 0xd8}, four...), segment(0xda, nil)...)
	refused(t, "CMYK", decode(four), &u, "CMYK colours without an embedded profile")
}
