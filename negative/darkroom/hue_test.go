package darkroom

import (
	"bytes"
	"fmt"
	"math"
	"os/exec"
	"testing"

	"actinic/process/density"
	"actinic/testdata/outside"
)

// lcms2 sees in a hue's colours, taken as sRGB, the lightness that they stand
// for, and the hue's own a* and b* where sRGB holds them.
func TestHuesInTheEyesOfLCMS(t *testing.T) {
	type sample struct {
		hue Hue
		y   float64
		rgb linearRGB
	}
	var samples []sample
	var in bytes.Buffer
	for _, h := range Hues {
		table := h.table()
		for i := 60; i < hueSteps; i += 100 {
			at := float64(i) / hueSteps
			samples = append(samples, sample{h, at * at, table[i]})
			for _, light := range table[i] {
				fmt.Fprintf(&in, "%.6f\n", 255*scanCode(float64(light), false)/65535)
			}
		}
	}
	cmd := exec.Command(outside.Tool(t, "transicc", "liblcms2-utils"), "-n", "-t1", "-i*sRGB", "-o*Lab")
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	answers := bytes.NewReader(out)
	for _, s := range samples {
		var l, a, b float64
		if _, err := fmt.Fscan(answers, &l, &a, &b); err != nil {
			t.Fatalf("transicc answers %q: %v", out, err)
		}
		want := float64(density.Reflectance(s.y).Lightness())
		if math.Abs(l-want) > 0.02 {
			t.Errorf("%v at L* %.2f: lcms2 sees L* %.3f", s.hue, want, l)
		}
		wantA, wantB := s.hue.chroma(want)
		if full, fits := neutralPlus(s.y, wantA, wantB); fits && full == s.rgb && math.Hypot(a-wantA, b-wantB) > 0.3 {
			t.Errorf("%v at L* %.2f: lcms2 sees a* %.2f b* %.2f, want %.2f %.2f", s.hue, want, a, b, wantA, wantB)
		}
	}
}
