package profile

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"actinic/testdata/vectors"
)

// one is the luminance of a single pixel.
func one(l *Luminance, samples ...uint16) float64 {
	var y [1]float32
	l.Row(y[:], samples)
	return float64(y[0])
}

// TestSRGBCodes: IEC 61966-2-1:1999 of 8-bit codes, srgb8_decode.csv; float32
// carries 7 digits.
func TestSRGBCodes(t *testing.T) {
	grey, colour := SRGB(1), SRGB(3)
	v := vectors.Read(t, "srgb8_decode.csv")
	for i := range v.Rows {
		code, want := uint16(257*v.Float(i, "code")), v.Float(i, "linear")
		for _, got := range []float64{one(grey, code), one(colour, code, code, code)} {
			if math.Abs(got-want) > 2e-7 {
				t.Errorf("code %d: %.9f, want %.9f", code, got, want)
			}
		}
	}
}

// TestSRGBPrimaries: Y of sRGB's primaries in the D50 connection space,
// rgb_matrices.csv.
func TestSRGBPrimaries(t *testing.T) {
	v := vectors.Read(t, "rgb_matrices.csv")
	for i := range v.Rows {
		if v.Cell(i, "matrix") != "sRGB_to_XYZ_D50icc" || v.Cell(i, "row") != "1" {
			continue
		}
		for c, column := range []string{"c0", "c1", "c2"} {
			var p [3]uint16
			p[c] = 65535
			for _, l := range []*Luminance{SRGB(3), Linear(3)} {
				if got, want := one(l, p[:]...), v.Float(i, column); math.Abs(got-want) > 1e-7 {
					t.Errorf("primary %d: %.9f, want %.9f", c, got, want)
				}
			}
		}
		return
	}
	t.Fatal("rgb_matrices.csv has no such row")
}

func TestLinearIsTheValue(t *testing.T) {
	for _, code := range []uint16{0, 1, 257, 32768, 65535} {
		if got, want := one(Linear(1), code), float64(code)/65535; math.Abs(got-want) > 1e-7 {
			t.Errorf("code %d: %g, want %g", code, got, want)
		}
	}
}

// TestLighterIsLighter: a pixel none of whose samples is lower is not darker.
func TestLighterIsLighter(t *testing.T) {
	table, err := FromICC(tableProfile("mft2", "Lab "), 3)
	if err != nil {
		t.Fatal(err)
	}
	for name, l := range map[string]*Luminance{"sRGB": SRGB(3), "table": table} {
		rapid.Check(t, func(t *rapid.T) {
			sample := rapid.SliceOfN(rapid.Uint16(), 3, 3)
			a, b := sample.Draw(t, "a"), sample.Draw(t, "b")
			for i := range a {
				a[i], b[i] = min(a[i], b[i]), max(a[i], b[i])
			}
			if ya, yb := one(l, a...), one(l, b...); !(0 <= ya && ya <= yb+1e-6 && yb <= 1) {
				t.Fatalf("%s: %v has %g, %v has %g", name, a, ya, b, yb)
			}
		})
	}
}

func TestSRGBOfTwoChannelsPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	SRGB(2)
}
