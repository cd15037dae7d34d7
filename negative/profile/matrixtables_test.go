package profile

import (
	"math/rand/v2"
	"testing"
)

// The tables say what Row says, and only where there is one a channel.
func TestMatrixTables(t *testing.T) {
	for name, l := range map[string]*Luminance{"sRGB": SRGB(3), "linear": Linear(3), "gamma": Gamma(3, 1.8)} {
		red, green, blue := l.MatrixTables()
		if red == nil {
			t.Fatalf("%s: no tables", name)
		}
		r := rand.New(rand.NewPCG(1, 1))
		for range 1000 {
			p := [3]uint16{uint16(r.Uint32()), uint16(r.Uint32()), uint16(r.Uint32())}
			var want [1]float32
			l.Row(want[:], p[:])
			if got := unit(red[p[0]] + green[p[1]] + blue[p[2]]); got != want[0] {
				t.Fatalf("%s, %v: %g, Row gives %g", name, p, got, want[0])
			}
		}
	}
	if r, g, b := SRGB(1).MatrixTables(); r != nil || g != nil || b != nil {
		t.Error("grey: tables of three channels")
	}
}
