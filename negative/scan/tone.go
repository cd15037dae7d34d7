package scan

import (
	"fmt"
	"math"

	"actinic/negative/batch"
	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/process/density"
)

// Channel is which of a colour scan's channels is read.
type Channel int

// All takes the luminance of all channels, as the eye and an instrument without
// filters do.
const (
	All Channel = iota
	Red
	Green
	Blue
)

var channelNames = [...]string{"all", "red", "green", "blue"}

// String returns "all", "red", "green" or "blue".
func (c Channel) String() string { return channelNames[c] }

// ParseChannel is the inverse of String.
func ParseChannel(text string) (Channel, error) {
	for i, name := range channelNames {
		if name == text {
			return Channel(i), nil
		}
	}
	return All, fmt.Errorf("expected red, green, blue or all")
}

// luminanceOf is how samples become light: as linear light if the user says so,
// else by embedded profile, by stated exponent, or as sRGB.
func luminanceOf(name string, h raster.Header, linear bool) (*profile.Luminance, error) {
	if linear {
		return profile.Linear(h.Channels), nil
	}
	return batch.LuminanceOf(name, h)
}

// brightness turns rows of samples into light: luminance, or one channel alone
// as if the pixel were the grey of that value.
type brightness struct {
	lum      *profile.Luminance
	channels int
	channel  int       // index of the one channel; -1 for luminance
	table    []float32 // of the one channel
}

func newBrightness(lum *profile.Luminance, c Channel) *brightness {
	b := &brightness{lum: lum, channels: lum.Channels(), channel: -1}
	if c == All {
		return b
	}
	b.channel = int(c - Red)
	greys := make([]uint16, 3*codes)
	for i := range greys {
		greys[i] = uint16(i / 3)
	}
	b.table = make([]float32, codes)
	lum.Row(b.table, greys)
	return b
}

// codes is how many values a 16-bit sample can have.
const codes = 65536

// row writes the light of each pixel of src to dst.
func (b *brightness) row(dst []float32, src []uint16) {
	if b.channel < 0 {
		b.lum.Row(dst, src)
		return
	}
	table := (*[codes]float32)(b.table)
	for i, at := 0, b.channel; i < len(dst); i, at = i+1, at+b.channels {
		dst[i] = table[src[at]]
	}
}

// toRoot is the plane's form of light y.
func toRoot(y float32) uint16 {
	return uint16(float64(math.Sqrt(float64(y))*(codes-1)) + 0.5)
}

// toneTable says what the values of a plane mean: reflectance, and its L*.
type toneTable struct {
	y     [codes]float32
	lstar [codes]float32
	// low and high bound the values of the plane for which the table was
	// calibrated; all of them without a grey scale.
	low, high uint16
}

// plainTone takes the scan's own tone as true.
func plainTone() *toneTable {
	return newToneTable(func(y float64) float64 { return y })
}

// newToneTable tabulates truth, which takes scanned light to reflectance.
func newToneTable(truth func(y float64) float64) *toneTable {
	t := &toneTable{high: codes - 1}
	for i := range codes {
		r := float64(i) / (codes - 1)
		y := truth(r * r)
		t.y[i], t.lstar[i] = float32(y), float32(lightness(y))
	}
	return t
}

// lightness is L* of a reflectance.
func lightness(y float64) float64 { return float64(density.Reflectance(y).Lightness()) }
