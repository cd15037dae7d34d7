package profile

import (
	"math"
	"testing"

	"actinic/testdata/vectors"
)

// Encoded values of transfer_encode.csv: three columns are pure powers
// (563/256 as in Adobe RGB (1998), 4.3.4.2; 2.2; 1.8). A code is rounded to
// 1/65535, which moves the light by at most half of that times the slope.
func TestGammaAgainstVectors(t *testing.T) {
	v := vectors.Read(t, "transfer_encode.csv")
	for column, exponent := range map[string]float64{"gamma_563_256": 563.0 / 256, "g2.2": 2.2, "g1.8": 1.8} {
		grey, colour := Gamma(1, exponent), Gamma(3, exponent)
		for i := range v.Rows {
			light, code := v.Float(i, "linear"), uint16(math.Round(65535*v.Float(i, column)))
			var y [2]float32
			grey.Row(y[:1], []uint16{code})
			colour.Row(y[1:], []uint16{code, code, code})
			for _, got := range y {
				if d := math.Abs(float64(got) - light); d > 0.5/65535*exponent+1e-6 {
					t.Errorf("exponent %g: code %d is light %.6f, want %.6f", exponent, code, got, light)
				}
			}
		}
	}
}

func TestGammaPanicsOnACallersBug(t *testing.T) {
	for _, c := range []struct {
		channels int
		exponent float64
	}{{2, 2.2}, {1, 0}, {3, -1}, {1, math.NaN()}, {1, math.Inf(1)}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%d channels, exponent %g: no panic", c.channels, c.exponent)
				}
			}()
			Gamma(c.channels, c.exponent)
		}()
	}
}

// TestPrimaries: the light of each primary, and between black and it the curve.
func TestPrimaries(t *testing.T) {
	y := [3]float64{0.3, 0.6, 0.1}
	for exponent, half := range map[float64]float64{0: decodeSRGB(32768.0 / 65535), 1: 32768.0 / 65535, 1.8: math.Pow(32768.0/65535, 1.8)} {
		lum := Primaries(exponent, y)
		for i := range y {
			var full, mid [3]uint16
			full[i], mid[i] = 65535, 32768
			if a, b := one(lum, full[:]...), one(lum, mid[:]...); math.Abs(a-y[i]) > 1e-6 || math.Abs(b-y[i]*half) > 1e-6 {
				t.Errorf("exponent %g, channel %d: %g and %g, want %g and %g", exponent, i, a, b, y[i], y[i]*half)
			}
		}
	}
}
