package raster

import (
	"encoding/binary"
	"math"
)

// srgbGamma is what gAMA says of sRGB samples, for readers that know no sRGB
// (PNG, 11.3.3.5); many writers leave it at that.
const srgbGamma = 100000 / 45455.

// readGamma reads gAMA: the encoding exponent times 100000; what we keep is the
// one that decodes.
func (p *pngInfo) readGamma(b []byte) error {
	if len(b) == 4 && binary.BigEndian.Uint32(b) != 0 {
		p.gamma = math.Round(1e5/float64(binary.BigEndian.Uint32(b))*1e5) / 1e5
	}
	return nil
}

// readPrimaries reads cHRM (PNG, 11.3.3.1): x and y of white, red, green and blue,
// times 100000. What makes no sense is passed over.
func (p *pngInfo) readPrimaries(b []byte) error {
	if len(b) != 32 {
		return nil
	}
	var c chromaticities
	for i := range c {
		for k := range 2 {
			c[i][k] = float64(binary.BigEndian.Uint32(b[8*i+4*k:])) / 1e5
		}
	}
	if _, ok := c.light(); ok {
		p.primaries = &c
	}
	return nil
}

// codedColours is how cICP says what samples mean.
type codedColours struct {
	primaries chromaticities
	gamma     float64 // that decodes; 0 for sRGB's curve
}

// The code points of ITU-T H.273 (2021), tables 2 and 3, that pictures have:
// primaries of BT.709 and sRGB, BT.2020, P3 with D65; curves of exponents, of
// linear light and of sRGB.
var (
	codedPrimaries = map[byte]chromaticities{
		1:  srgbChromaticities,
		9:  {{0.3127, 0.3290}, {0.708, 0.292}, {0.170, 0.797}, {0.131, 0.046}},
		12: {{0.3127, 0.3290}, {0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}},
	}
	codedGammas = map[byte]float64{4: 2.2, 5: 2.8, 8: 1, 13: 0}
)

// readCoded reads cICP (PNG, 3rd edition, W3C 2025, 11.3.2.6): primaries, curve,
// matrix, whether the whole range is used. Light beyond paper white has no place on
// a print; what else is not known leaves the picture to the other chunks.
func (p *pngInfo) readCoded(b []byte) error {
	if len(b) != 4 {
		return nil
	}
	if b[1] == 16 || b[1] == 18 {
		return &UnsupportedError{Format: "PNG", Feature: "high dynamic range (chunk cICP)",
			Fix: "convert the picture to sRGB in an editor, where you see how its brightest parts come out, and save it again"}
	}
	primaries, known := codedPrimaries[b[0]]
	gamma, too := codedGammas[b[1]]
	if known && too && b[2] == 0 && b[3] == 1 {
		p.coded = &codedColours{primaries, gamma}
	}
	return nil
}

// colourSpace puts into a header what the chunks say together: cICP is above iCCP,
// that above sRGB, that above gAMA and cHRM (PNG, 3rd edition, 4.3).
func (p *pngInfo) colourSpace(h *Header) {
	switch {
	case p.coded != nil:
		h.Profile, h.Gamma = nil, p.coded.gamma
		h.RGBLight = p.coded.primaries.unlessSRGB()
	case p.profile != nil || p.srgb:
	default:
		if p.primaries != nil {
			h.RGBLight = p.primaries.unlessSRGB()
		}
		h.Gamma = p.gamma
		if math.Abs(p.gamma-srgbGamma) < 1e-5 && h.RGBLight == [3]float64{} {
			h.Gamma = 0
		}
	}
	if h.Channels == 1 {
		h.RGBLight = [3]float64{}
	}
}
