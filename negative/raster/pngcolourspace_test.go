package raster_test

import (
	"encoding/binary"
	"math"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/vectors"
)

// chrm is a cHRM chunk: white, red, green, blue.
func chrm(xy ...float64) chunk {
	var b []byte
	for _, v := range xy {
		b = binary.BigEndian.AppendUint32(b, uint32(math.Round(1e5*v)))
	}
	return chunk{"cHRM", b}
}

func gama(v uint32) chunk { return chunk{"gAMA", binary.BigEndian.AppendUint32(nil, v)} }

// Chromaticities of IEC 61966-2-1:1999 and Adobe RGB (1998), 4.3.1.1; P3 with D65
// of SMPTE EG 432-1.
var (
	srgbXY  = []float64{0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06}
	adobeXY = []float64{0.3127, 0.3290, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06}
)

// TestPNGColourSpace: which chunks count, and the light of primaries by
// rgb_matrices.csv.
func TestPNGColourSpace(t *testing.T) {
	adobe := rowOf(t, "AdobeRGB_to_XYZ_D50icc")
	// P3: the row of DisplayP3_to_XYZ_D65 is under another white; from memory, the Y
	// row of the profile that its owner publishes.
	p3 := [3]float64{0.2412, 0.6922, 0.0666}
	cicp := func(b ...byte) chunk { return chunk{"cICP", b} }
	for name, c := range map[string]struct {
		chunks []chunk
		kind   byte
		gamma  float64
		light  [3]float64
	}{
		"nothing":             {nil, 2, 0, [3]float64{}},
		"sRGB's own":          {[]chunk{gama(45455), chrm(srgbXY...)}, 2, 0, [3]float64{}},
		"other gamma":         {[]chunk{gama(55556), chrm(srgbXY...)}, 2, 1.79999, [3]float64{}},
		"Adobe RGB":           {[]chunk{gama(45471), chrm(adobeXY...)}, 2, 2.1992, adobe},
		"Adobe RGB with 2.2":  {[]chunk{gama(45455), chrm(adobeXY...)}, 2, 2.19998, adobe},
		"primaries alone":     {[]chunk{chrm(adobeXY...)}, 2, 0, adobe},
		"sRGB chunk above":    {[]chunk{{"sRGB", []byte{0}}, gama(55556), chrm(adobeXY...)}, 2, 0, [3]float64{}},
		"grey":                {[]chunk{gama(55556), chrm(adobeXY...)}, 0, 1.79999, [3]float64{}},
		"nonsense":            {[]chunk{chrm(0, 0, 1, 0, 0, 0, 0, 0)}, 2, 0, [3]float64{}},
		"all one colour":      {[]chunk{chrm(0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3)}, 2, 0, [3]float64{}},
		"cICP sRGB":           {[]chunk{cicp(1, 13, 0, 1), gama(55556), chrm(adobeXY...)}, 2, 0, [3]float64{}},
		"cICP P3":             {[]chunk{cicp(12, 13, 0, 1)}, 2, 0, p3},
		"cICP linear":         {[]chunk{cicp(1, 8, 0, 1)}, 2, 1, [3]float64{}},
		"cICP narrow":         {[]chunk{cicp(12, 13, 0, 0), gama(55556)}, 2, 1.79999, [3]float64{}},
		"cICP unknown":        {[]chunk{cicp(77, 13, 0, 1), gama(55556)}, 2, 1.79999, [3]float64{}},
		"cICP of other bytes": {[]chunk{cicp(12, 13)}, 2, 0, [3]float64{}},
	} {
		data := idat(0, 1, 2, 3)
		if c.kind == 0 {
			data = idat(0, 1)
		}
		h := memorySource(t, makePNG(append(append([]chunk{ihdr(1, 1, 8, c.kind, 0)}, c.chunks...), data)...)).Header()
		if math.Abs(h.Gamma-c.gamma) > 1e-4 {
			t.Errorf("%s: gamma %g, want %g", name, h.Gamma, c.gamma)
		}
		for i, want := range c.light {
			if math.Abs(h.RGBLight[i]-want) > 2e-4 {
				t.Errorf("%s: light %v, want %v", name, h.RGBLight, c.light)
				break
			}
		}
	}
	for _, curve := range []byte{16, 18} {
		var u *raster.UnsupportedError
		refused(t, "high range", decode(makePNG(ihdr(1, 1, 8, 2, 0), cicp(9, curve, 0, 1), idat(0, 1, 2, 3))), &u, "high dynamic range")
	}
}

// rowOf is the Y row of a matrix of rgb_matrices.csv.
func rowOf(t *testing.T, matrix string) (row [3]float64) {
	v := vectors.Read(t, "rgb_matrices.csv")
	for i := range v.Rows {
		if v.Cell(i, "matrix") == matrix && v.Cell(i, "row") == "1" {
			return [3]float64{v.Float(i, "c0"), v.Float(i, "c1"), v.Float(i, "c2")}
		}
	}
	t.Fatalf("rgb_matrices.csv has no %s", matrix)
	return row
}
