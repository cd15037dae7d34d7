package profile

import (
	"fmt"
	"math"
	"sync"
)

// codes is how many values an encoded 16-bit sample can have.
const codes = 65536

// Luminance turns encoded samples into linear light. It holds only baked
// tables, has no side effects, and may be used from several goroutines.
type Luminance struct {
	channels int
	tables   [3][]float32 // Y of each sample value, weighted; one when grey
	lut      *lut         // instead of tables, for profiles with a table over all channels
}

// srgbY is the Y row of the sRGB primaries adapted to the D50 of the profile
// connection space with the linear Bradford matrix, so that pictures with and
// without an sRGB profile agree. Source: IEC 61966-2-1:1999 primaries, ICC.1:2010
// Annex E; under sRGB's own D65 white the row is .2126 .7152 .0722.
var srgbY = [3]float64{0.2224845402, 0.7169050786, 0.06061038116}

// srgb holds the two luminances of sRGB, baked when first asked for: most pictures
// are sRGB, and they share them.
var srgb = [4]func() *Luminance{
	1: sync.OnceValue(func() *Luminance { return newGrey(decodeSRGB) }),
	3: sync.OnceValue(func() *Luminance { return newMatrix(decodeSRGB, srgbY) }),
}

// SRGB returns the luminance of sRGB values (IEC 61966-2-1:1999), or of grey
// values with the sRGB tone curve. channels must be 1 or 3; other values panic.
func SRGB(channels int) *Luminance {
	if channels != 1 && channels != 3 {
		panic(fmt.Sprintf("profile: sRGB of %d channels", channels))
	}
	return srgb[channels]()
}

// Linear returns the luminance of values that are linear light already, with
// the sRGB primaries. channels must be 1 or 3; other values panic.
func Linear(channels int) *Luminance {
	switch channels {
	case 1:
		return newGrey(identity)
	case 3:
		return newMatrix(identity, srgbY)
	}
	panic(fmt.Sprintf("profile: linear light of %d channels", channels))
}

// Lightness returns the luminance of CIE L* as samples hold it, 65535 for 100:
// of pictures in raster.Lightness.
func Lightness() *Luminance {
	return newGrey(func(v float64) float64 { return float64(fromLightness(float32(100 * v))) })
}

func newGrey(trc curve) *Luminance {
	return &Luminance{channels: 1, tables: [3][]float32{bake(trc, 1)}}
}

// newMatrix is of three channels with one curve, which is baked once.
func newMatrix(trc curve, y [3]float64) *Luminance {
	l, table := &Luminance{channels: 3}, tabulate(trc)
	for i := range y {
		l.tables[i] = weighted(table, y[i])
	}
	return l
}

// decodeSRGB is the transfer function of IEC 61966-2-1:1999.
func decodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func identity(v float64) float64 { return v }

// Channels returns how many samples a pixel has: 1, 3, or 4 inks.
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
	case l.lut != nil:
		n := l.channels
		for i := range dst {
			dst[i] = l.lut.luminance(src[n*i : n*i+n])
		}
	default:
		l.matrixRow(dst, src)
	}
}

func (l *Luminance) matrixRow(dst []float32, src []uint16) {
	r, g, b := l.MatrixTables()
	for i := range dst {
		p := src[3*i : 3*i+3 : 3*i+3]
		dst[i] = unit(r[p[0]] + g[p[1]] + b[p[2]])
	}
}

// unit limits what rounding in a profile's numbers, or a primary outside all
// real colours, puts beyond black or white.
func unit(v float32) float32 { return min(max(v, 0), 1) }
