package scan

import (
	"math"
	"testing"
)

// The doubt of a reading is how far mottle moves it from the tone of its ink,
// up to clouds a third of a patch wide; larger ones no patch can tell from
// unevenness. The limits are wide for the 72 patches.
func TestDoubtIsWhatMottleDoes(t *testing.T) {
	c := smallRamp(t, 150)
	for _, corr := range []float64{0.3, 1, 2} {
		sum, n := 0.0, 0
		for seed := range uint64(3) {
			p := contact(t, c, 0)
			p.mottle(1.0, corr, seed)
			r := mustRead(t, c, nil, p.scan(bed{ppi: 150, angle: 1, marginMM: 4, noise: 200, seed: seed}).input("scan.tif"))
			for _, reading := range r.Readings {
				want := tone(*reading.patch.Ink / 100)
				d := (reading.Lstar - want) / reading.SD
				if want < 90 {
					sum, n = sum+d*d, n+1
				}
			}
		}
		ratio := math.Sqrt(sum / float64(n))
		t.Logf("mottle of %.1f mm: errors are %.2f of their doubt over %d patches", corr, ratio, n)
		if ratio < 0.5 || ratio > 1.8 {
			t.Errorf("mottle of %.1f mm: errors are %.2f of their doubt, want about 1", corr, ratio)
		}
	}
}
