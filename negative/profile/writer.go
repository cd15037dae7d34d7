package profile

import (
	"encoding/binary"
	"math"
	"time"
	"unicode/utf16"
)

// tagData is a tag's signature and bytes.
type tagData struct {
	name string
	data []byte
}

// appendProfile joins a header of 128 bytes and tags, and sets the size field.
// Tags start on multiples of four, as ICC.1:2010, 7.1.2 asks.
func appendProfile(to, header []byte, tags []tagData) []byte {
	start := len(to)
	to = append(to, header...)
	to = binary.BigEndian.AppendUint32(to, uint32(len(tags)))
	at := headerSize + 4 + entrySize*len(tags)
	for _, t := range tags {
		to = append(to, t.name...)
		to = binary.BigEndian.AppendUint32(to, uint32(at))
		to = binary.BigEndian.AppendUint32(to, uint32(len(t.data)))
		at += padded(len(t.data))
	}
	for _, t := range tags {
		to = append(to, t.data...)
		to = append(to, make([]byte, padded(len(t.data))-len(t.data))...)
	}
	binary.BigEndian.PutUint32(to[start:], uint32(len(to)-start))
	return to
}

func padded(n int) int { return (n + 3) &^ 3 }

// header returns the 128 bytes of ICC.1:2010, 7.2, version 4.3, relative
// colorimetric, without size.
func header(class, space, pcs string, created time.Time) []byte {
	h := make([]byte, headerSize)
	binary.BigEndian.PutUint32(h[8:], 0x04300000)
	copy(h[12:], class)
	copy(h[16:], space)
	copy(h[20:], pcs)
	if !created.IsZero() {
		putTime(h[24:], created.UTC())
	}
	copy(h[36:], "acsp")
	binary.BigEndian.PutUint32(h[64:], 1) // media-relative colorimetric
	copy(h[68:], xyz(whiteD50)[8:])
	return h
}

func putTime(b []byte, t time.Time) {
	for i, v := range []int{t.Year(), int(t.Month()), t.Day(), t.Hour(), t.Minute(), t.Second()} {
		binary.BigEndian.PutUint16(b[2*i:], uint16(v))
	}
}

// whiteD50 is the illuminant of the connection space, ICC.1:2010, 7.2.16.
var whiteD50 = [3]float64{0.9642, 1, 0.8249}

// xyz is an XYZType tag of one entry, ICC.1:2010, 10.27.
func xyz(v [3]float64) []byte {
	b := []byte("XYZ \x00\x00\x00\x00")
	for _, x := range v {
		b = appendFixed(b, x)
	}
	return b
}

func appendFixed(b []byte, v float64) []byte {
	return binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
}

// text is a multiLocalizedUnicodeType tag of one English text, ICC.1:2010, 10.13.
func text(s string) []byte {
	units := utf16.Encode([]rune(s))
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(units)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

// sampled is a curveType tag of values 0..65535 over 0..1, ICC.1:2010, 10.5. No
// value at all is the identity.
func sampled(values []uint16) []byte {
	b := []byte("curv\x00\x00\x00\x00")
	b = binary.BigEndian.AppendUint32(b, uint32(len(values)))
	for _, v := range values {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return b
}

// parametricSRGB is a parametricCurveType tag of sRGB's decoding, function type 3
// of ICC.1:2010, 10.15, with the constants of IEC 61966-2-1:1999.
func parametricSRGB() []byte {
	b := []byte("para\x00\x00\x00\x00\x00\x03\x00\x00")
	for _, v := range []float64{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045} {
		b = appendFixed(b, v)
	}
	return b
}

// parametricToSRGB is the way back, function type 4: over 0.0031308 (aX+b)^g + e, else
// cX + f, in the order g a b c d e f.
func parametricToSRGB() []byte {
	b := []byte("para\x00\x00\x00\x00\x00\x04\x00\x00")
	for _, v := range []float64{1 / 2.4, math.Pow(1.055, 2.4), 0, 12.92, 0.04045 / 12.92, -0.055, 0} {
		b = appendFixed(b, v)
	}
	return b
}

// matrixTable is a lutAToBType or, for "mBA ", lutBToAType tag of three channels,
// ICC.1:2010, 10.10 and 10.11: the curve on the device's side and a matrix towards the
// connection space, whose own curves do nothing.
func matrixTable(kind string, curve []byte, matrix [12]float64) []byte {
	const header, matrixSize = 32, 12 * 4
	plain := sampled(nil)
	curves := header + matrixSize
	b := append([]byte(kind), 0, 0, 0, 0, 3, 3, 0, 0)
	for _, at := range []int{curves + 3*padded(len(curve)), header, curves, 0, 0} { // B curves, matrix, M curves
		b = binary.BigEndian.AppendUint32(b, uint32(at))
	}
	for _, v := range matrix {
		b = appendFixed(b, v)
	}
	for _, c := range [][]byte{curve, curve, curve, plain, plain, plain} {
		b = append(b, c...)
		b = append(b, make([]byte, padded(len(c))-len(c))...)
	}
	return b
}

// curvesOnly is a lutAToBType tag that takes each channel through a B curve of its own
// and does no more, ICC.1:2010, 10.10.
func curvesOnly(curves [][]byte) []byte {
	n := byte(len(curves))
	b := []byte{'m', 'A', 'B', ' ', 0, 0, 0, 0, n, n, 0, 0}
	b = binary.BigEndian.AppendUint32(b, 32) // where the B curves start
	b = append(b, make([]byte, 16)...)       // no matrix, M curves, table, A curves
	for _, c := range curves {
		b = append(b, c...)
		b = append(b, make([]byte, padded(len(c))-len(c))...)
	}
	return b
}

// sequence is a profileSequenceDescType tag of the two ends of a link, neither
// of them a device that is registered. ICC.1:2010, 10.16.
func sequence(from, to string) []byte {
	b := []byte("pseq\x00\x00\x00\x00\x00\x00\x00\x02")
	for _, name := range []string{from, to} {
		b = append(b, make([]byte, 20)...) // maker, model, attributes, technology
		b = append(b, text(name)...)
		b = append(b, text("")...)
	}
	return b
}
