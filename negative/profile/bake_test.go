package profile

import (
	"math"
	"testing"
)

// TestTablesAreTheCurve: a baked table is the curve at every code, for smooth
// curves and for those with corners, within a tenth of a code of 16 bits where L*
// is steepest.
func TestTablesAreTheCurve(t *testing.T) {
	curves := map[string]curve{"sRGB": decodeSRGB, "square": func(v float64) float64 { return v * v },
		"root":   func(v float64) float64 { return math.Pow(v, 0.2) },
		"corner": func(v float64) float64 { return math.Abs(v - 0.4217) },
		"step":   func(v float64) float64 { return math.Floor(v * 7.3) },
	}
	for name, tag := range forms {
		c, err := readCurve(name, tag)
		if err != nil {
			t.Fatal(err)
		}
		curves[name] = c
	}
	for name, c := range curves {
		for i, v := range tabulate(c) {
			if want := c(float64(i) / (codes - 1)); !(math.Abs(v-want) <= 5*asGood) {
				t.Errorf("%s at %d: %.10f, want %.10f", name, i, v, want)
				break
			}
		}
	}
}

func BenchmarkSRGBAtStart(b *testing.B) {
	for b.Loop() {
		newMatrix(decodeSRGB, srgbY)
	}
}

func BenchmarkInks(b *testing.B) {
	lum, err := FromICC(inkProfile("Lab ", inkLUT("mft2", 9, "Lab ")), 4)
	if err != nil {
		b.Fatal(err)
	}
	src, dst := make([]uint16, 4*4096), make([]float32, 4096)
	for i := range src {
		src[i] = uint16(i * 40503)
	}
	b.SetBytes(4096)
	for b.Loop() {
		lum.Row(dst, src)
	}
}

func BenchmarkInksBake(b *testing.B) {
	p := inkProfile("Lab ", inkLUT("mft2", 17, "Lab "))
	for b.Loop() {
		if _, err := FromICC(p, 4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTableBake(b *testing.B) {
	p := tableProfile("mft2", "Lab ")
	for b.Loop() {
		if _, err := FromICC(p, 3); err != nil {
			b.Fatal(err)
		}
	}
}
