package profile

import (
	"fmt"
	"math"
)

// codes is how many values an encoded 16-bit sample can have.
const codes = 65536

// Luminance turns encoded samples into linear light. It holds only baked
// tables, has no side effects, and may be used from several goroutines.
type Luminance struct {
	channels int
	tables   [3][]float32 // Y of each sample value, weighted; one when grey
	grid     *grid        // instead of tables, for RGB profiles with tables
}

// srgbY is the Y row of the sRGB primaries adapted to the D50 of the profile
// connection space with the linear Bradford matrix, so that pictures with and
// without an sRGB profile agree. Source: IEC 61966-2-1:1999 primaries, ICC.1:2010
// Annex E; under sRGB's own D65 white the row is .2126 .7152 .0722.
var srgbY = [3]float64{0.2224845402, 0.7169050786, 0.06061038116}

// SRGB returns the luminance of sRGB values (IEC 61966-2-1:1999), or of grey
// values with the sRGB tone curve. channels must be 1 or 3; other values panic.
func SRGB(channels int) *Luminance {
	switch channels {
	case 1:
		return &Luminance{channels: 1, tables: [3][]float32{bake(decodeSRGB, 1)}}
	case 3:
		return newMatrix([3]curve{decodeSRGB, decodeSRGB, decodeSRGB}, srgbY)
	}
	panic(fmt.Sprintf("profile: sRGB of %d channels", channels))
}

// Linear returns the luminance of values that are linear light already, with
// the sRGB primaries. channels must be 1 or 3; other values panic.
func Linear(channels int) *Luminance {
	switch channels {
	case 1:
		return &Luminance{channels: 1, tables: [3][]float32{bake(identity, 1)}}
	case 3:
		return newMatrix([3]curve{identity, identity, identity}, srgbY)
	}
	panic(fmt.Sprintf("profile: linear light of %d channels", channels))
}

func newMatrix(trc [3]curve, y [3]float64) *Luminance {
	l := &Luminance{channels: 3}
	for i := range trc {
		l.tables[i] = bake(trc[i], y[i])
	}
	return l
}

// bake tabulates weight * c over all 16-bit codes.
func bake(c curve, weight float64) []float32 {
	table := make([]float32, codes)
	for i := range table {
		table[i] = float32(weight * c(float64(i)/(codes-1)))
	}
	return table
}

// decodeSRGB is the transfer function of IEC 61966-2-1:1999.
func decodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func identity(v float64) float64 { return v }

// Channels returns how many samples a pixel has: 1 or 3.
func (l *Luminance) Channels() int { return l.channels }

// Row writes CIE Y relative to the medium's white, 0 black to 1 white, of each
// pixel of src, which holds Channels encoded samples a pixel (65535 is the most
// that the encoding holds). src must hold at least len(dst) pixels.
func (l *Luminance) Row(dst []float32, src []uint16) {
	switch {
	case l.channels == 1:
		table := (*[codes]float32)(l.tables[0])
		for i := range dst {
			dst[i] = unit(table[src[i]])
		}
	case l.grid != nil:
		for i := range dst {
			p := src[3*i : 3*i+3]
			dst[i] = l.grid.luminance(p[0], p[1], p[2])
		}
	default:
		l.matrixRow(dst, src)
	}
}

func (l *Luminance) matrixRow(dst []float32, src []uint16) {
	r, g, b := (*[codes]float32)(l.tables[0]), (*[codes]float32)(l.tables[1]), (*[codes]float32)(l.tables[2])
	for i := range dst {
		p := src[3*i : 3*i+3]
		dst[i] = unit(r[p[0]] + g[p[1]] + b[p[2]])
	}
}

// unit limits what rounding in a profile's numbers, or a primary outside all
// real colours, puts beyond black or white.
func unit(v float32) float32 { return min(max(v, 0), 1) }
