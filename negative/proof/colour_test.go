package proof

import (
	"math"
	"testing"

	"actinic/process/density"
	"actinic/testdata/vectors"

	"pgregory.net/rapid"
)

// matrix reads one 3 x 3 matrix of rgb_matrices.csv.
func matrix(t *testing.T, name string) (m [3][3]float64) {
	t.Helper()
	v := vectors.Read(t, "rgb_matrices.csv")
	for i := range v.Rows {
		if v.Cell(i, "matrix") == name {
			m[int(v.Float(i, "row"))] = [3]float64{v.Float(i, "c0"), v.Float(i, "c1"), v.Float(i, "c2")}
		}
	}
	if m[0][0] == 0 {
		t.Fatalf("no matrix %s", name)
	}
	return m
}

func times(a, b [3][3]float64) (p [3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				p[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return p
}

// rgb_matrices.csv, computed from the primaries (IEC 61966-2-1) and the Bradford
// cone matrix (ICC.1:2010, Annex E): the matrix in use, and the same from sRGB
// to D65 to D50.
func TestMatrixAgainstPrimariesAndBradford(t *testing.T) {
	icc := matrix(t, "sRGB_to_XYZ_D50icc")
	chain := times(matrix(t, "bradford_xy31273290_to_ICCD50"), matrix(t, "sRGB_to_XYZ_D65"))
	unit := times(srgbToXYZ, xyzToSRGB)
	for i := range 3 {
		for j := range 3 {
			if srgbToXYZ[i][j] != icc[i][j] {
				t.Errorf("%d,%d: %g, published %g", i, j, srgbToXYZ[i][j], icc[i][j])
			}
			if math.Abs(chain[i][j]-icc[i][j]) > 2e-9 {
				t.Errorf("%d,%d: through D65 %.10f, direct %.10f", i, j, chain[i][j], icc[i][j])
			}
			if want := map[bool]float64{true: 1}[i == j]; math.Abs(unit[i][j]-want) > 1e-14 {
				t.Errorf("%d,%d of the inverse: %g", i, j, unit[i][j])
			}
		}
	}
}

// Neutrals: srgb8_decode.csv gives the L* of 8-bit sRGB greys; a neutral Lab of
// that L* must come back as the grey (D50 white to D65 white).
func TestNeutralsAgainstPublishedGreys(t *testing.T) {
	greys := vectors.Read(t, "srgb8_decode.csv")
	for i := range greys.Rows {
		code, l := greys.Float(i, "code"), greys.Float(i, "Lstar")
		for _, v := range (Lab{density.Lightness(l), 0, 0}).SRGB() {
			if math.Abs(v*255-code) > 2e-3 {
				t.Errorf("L* %g: %.4f of 255, want %g", l, v*255, code)
			}
		}
	}
}

// transfer_encode.csv: sRGB column, IEC 61966-2-1:1999, 10 digits.
func TestEncodeAgainstStandard(t *testing.T) {
	v := vectors.Read(t, "transfer_encode.csv")
	for i := range v.Rows {
		if got, want := encode(v.Float(i, "linear")), v.Float(i, "sRGB"); math.Abs(got-want) > 1e-9 {
			t.Errorf("linear %s: %.10f, want %.10f", v.Cell(i, "linear"), got, want)
		}
	}
}

// The primaries of sRGB in Lab under D50, as colour management shows them: red
// 54.29, 80.81, 69.89; green 87.82, -79.27, 80.99; blue 29.57, 68.30, -112.03
// (relative colorimetric, ICC D50; from memory, two decimals).
func TestPrimariesInLab(t *testing.T) {
	tests := map[Lab][3]float64{
		{54.29, 80.81, 69.89}:   {1, 0, 0},
		{87.82, -79.27, 80.99}:  {0, 1, 0},
		{29.57, 68.30, -112.03}: {0, 0, 1},
	}
	for lab, want := range tests {
		got := lab.linear()
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-3 {
				t.Errorf("%v: linear %.4f, want %v", lab, got, want)
			}
		}
	}
}

// back returns the Lab of an sRGB-encoded colour: the way in, written apart.
func back(rgb [3]float64) Lab {
	var xyz, f [3]float64
	for i := range xyz {
		for j, v := range rgb {
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			xyz[i] += srgbToXYZ[i][j] * v
		}
		t := xyz[i] / d50[i]
		f[i] = math.Cbrt(t)
		if t <= 216.0/24389 {
			f[i] = (24389.0/27*t + 16) / 116
		}
	}
	return Lab{density.Lightness(116*f[1] - 16), 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
}

// Whatever is asked, a screen colour comes out that has the lightness, the hue
// angle and no more chroma; what the screen can show comes out whole.
func TestGamutKeepsLightnessAndHue(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		c := Lab{density.Lightness(rapid.Float64Range(0.5, 99.5).Draw(r, "L")),
			rapid.Float64Range(-120, 120).Draw(r, "a"), rapid.Float64Range(-120, 120).Draw(r, "b")}
		got := back(c.SRGB())
		if math.Abs(float64(got.L-c.L)) > 0.01 {
			r.Fatalf("%v: lightness %.4f", c, got.L)
		}
		asked, made := math.Hypot(c.A, c.B), math.Hypot(got.A, got.B)
		if made > asked+0.02 || math.Abs(got.A*c.B-got.B*c.A) > 0.02*asked {
			r.Fatalf("%v: came out as %v", c, got)
		}
		k := made/asked + 0.01
		if !c.shows() && (Lab{c.L, c.A * k, c.B * k}).shows() {
			r.Fatalf("%v: came out as %v, but more chroma can be shown", c, got)
		}
		if c.shows() && asked-made > 0.02 {
			r.Fatalf("%v can be shown but came out as %v", c, got)
		}
	})
}

func TestHueRunsFromBlackToPaper(t *testing.T) {
	h := Estimate("cyanotype", 1, -32, 94, 24)
	if got := h.At(24); got != (Lab{24, 1, -32}) {
		t.Errorf("black: %v", got)
	}
	if got := h.At(94); math.Abs(got.A-WarmWhite[0]) > 1e-12 || math.Abs(got.B-WarmWhite[1]) > 1e-12 {
		t.Errorf("paper: %v", got)
	}
	if got := h.At(10); got.B != -32 {
		t.Errorf("below black: %v, want the black's b*", got)
	}
	mid := h.At(59)
	if math.Abs(mid.B-(-32+3.2)/2) > 1e-9 {
		t.Errorf("middle: %v", mid)
	}
}
