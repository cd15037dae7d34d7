package profile

import (
	"encoding/binary"
	"math"
)

// profileOf joins a header and tags to a profile for tests.
func profileOf(class, space, pcs string, tags ...tagData) []byte {
	tags = append([]tagData{{"desc", text("test")}, {"cprt", text("none")}, {"wtpt", xyz(whiteD50)}}, tags...)
	return appendProfile(nil, header(class, space, pcs, made), tags)
}

// para is a parametricCurveType tag.
func para(form uint16, p ...float64) []byte {
	b := binary.BigEndian.AppendUint16([]byte("para\x00\x00\x00\x00"), form)
	b = append(b, 0, 0)
	for _, v := range p {
		b = appendFixed(b, v)
	}
	return b
}

// gamma is a curveType tag of one entry.
func gamma(u8Fixed8 uint16) []byte { return sampled([]uint16{u8Fixed8}) }

// table is a curveType tag of n samples of f.
func table(n int, f func(v float64) float64) []byte {
	values := make([]uint16, n)
	for i := range values {
		values[i] = uint16(math.Round(65535 * f(float64(i)/float64(n-1))))
	}
	return sampled(values)
}

// rgbProfile is a matrix profile with the primaries of sRGB in D50
// (rgb_matrices.csv) and one tone curve.
func rgbProfile(trc []byte) []byte {
	return profileOf("mntr", "RGB ", "XYZ ",
		tagData{"rXYZ", xyz([3]float64{0.4360412516, 0.2224845402, 0.01392018747})},
		tagData{"gXYZ", xyz([3]float64{0.3851129108, 0.7169050786, 0.0970672387})},
		tagData{"bXYZ", xyz([3]float64{0.1430458376, 0.06061038116, 0.7139125738})},
		tagData{"rTRC", trc}, tagData{"gTRC", trc}, tagData{"bTRC", trc})
}

func greyOf(pcs string, trc []byte) []byte {
	return profileOf("mntr", "GRAY", pcs, tagData{"kTRC", trc})
}

// tableProfile has an A2B0 table of 17 nodes a side: a scanner whose L* bends
// and whose channels mix.
func tableProfile(kind, pcs string) []byte {
	return profileOf("scnr", "RGB ", pcs, tagData{"A2B0", colourTable(kind, pcs)})
}

const tableSide = 17

func colourTable(kind, pcs string) []byte {
	var grid []float64 // 0..1
	const last = tableSide - 1
	for r := range tableSide {
		for g := range tableSide {
			for b := range tableSide {
				grid = append(grid, node(float64(r)/last, float64(g)/last, float64(b)/last, pcs)...)
			}
		}
	}
	switch kind {
	case "mft1":
		return mft1(grid)
	case "mft2":
		if pcs == "Lab " {
			for i := range grid {
				grid[i] *= 65280.0 / 65535 // the older coding, ICC.1:2010 6.3.4.2
			}
		}
		return mft2(3, tableSide, grid)
	}
	if kind == "linear" {
		return modular(3, tableSide, grid, sampled(nil))
	}
	return modular(3, tableSide, grid, para(0, 1.8))
}

// node is the connection space value, coded 0..1, of a device value.
func node(r, g, b float64, pcs string) []float64 {
	mixed := float64(0.25*r) + float64(0.65*g) + float64(0.1*b)
	if pcs == "Lab " {
		return []float64{math.Pow(mixed, 0.8), 128.0/255 + 0.2*(r-g), 128.0/255 + 0.2*(g-b)}
	}
	const one = 32768.0 / 65535 // of X, Y, Z, ICC.1:2010 6.3.4.2
	return []float64{0.9642 * mixed * one, mixed * one, 0.8249 * mixed * one}
}

func lutHead(kind string, in, side int) []byte {
	b := append([]byte(kind), 0, 0, 0, 0, byte(in), 3, byte(side), 0)
	for i := range 9 {
		b = appendFixed(b, map[bool]float64{true: 1}[i%4 == 0])
	}
	return b
}

func mft1(grid []float64) []byte {
	b := lutHead("mft1", 3, tableSide)
	straight := func() {
		for range 3 {
			for v := range 256 {
				b = append(b, byte(v))
			}
		}
	}
	straight()
	for _, v := range grid {
		b = append(b, byte(math.Round(255*v)))
	}
	straight()
	return b
}

func mft2(in, side int, grid []float64) []byte {
	b := lutHead("mft2", in, side)
	b = append(b, 0, 3, 0, 2)
	for range in { // bent input curves of three entries
		b = appendWords(b, 0, 0.4, 1)
	}
	b = appendWords(b, grid...)
	for range 3 {
		b = appendWords(b, 0, 1)
	}
	return b
}

// modular is a lutAToBType tag with A curves, a grid, and straight B curves.
// ICC.1:2010, 10.10.
func modular(in, side int, grid []float64, aCurve []byte) []byte {
	curves := func(n int, one []byte) (b []byte) {
		for range n {
			b = append(b, one...)
			b = append(b, make([]byte, padded(len(b))-len(b))...)
		}
		return b
	}
	bCurves, aCurves := curves(3, sampled(nil)), curves(in, aCurve)
	clut := make([]byte, 20)
	for i := range in {
		clut[i] = byte(side)
	}
	clut[16] = 2
	clut = appendWords(clut, grid...)
	clut = append(clut, make([]byte, padded(len(clut))-len(clut))...)
	b := append([]byte("mAB \x00\x00\x00\x00"), byte(in), 3, 0, 0)
	for _, at := range []int{32, 0, 0, 32 + len(bCurves), 32 + len(bCurves) + len(clut)} {
		b = binary.BigEndian.AppendUint32(b, uint32(at))
	}
	b = append(b, bCurves...)
	b = append(b, clut...)
	return append(b, aCurves...)
}

func appendWords(b []byte, values ...float64) []byte {
	for _, v := range values {
		b = binary.BigEndian.AppendUint16(b, uint16(math.Round(65535*v)))
	}
	return b
}

// greyTable is a grey profile with an A2B1 table of five nodes, and an A2B0 table
// that must not be used.
func greyTable() []byte {
	tag := func(lightness ...float64) []byte {
		var grid []float64
		for _, l := range lightness {
			grid = append(grid, l, 128.0/255, 128.0/255)
		}
		return modular(1, len(lightness), grid, para(0, 1.8))
	}
	return profileOf("scnr", "GRAY", "Lab ",
		tagData{"A2B1", tag(0, 0.1, 0.35, 0.7, 1)}, tagData{"A2B0", tag(0.3, 0.7)})
}

// whiteTable is a table whose white has twice the luminance of the medium's.
func whiteTable() []byte {
	var grid []float64
	for i := range 8 {
		grid = append(grid, 0.4, float64(i)/7, 0.4)
	}
	return profileOf("scnr", "RGB ", "XYZ ", tagData{"A2B0", modular(3, 2, grid, sampled(nil))})
}
