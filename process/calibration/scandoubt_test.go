package calibration

import (
	"math"
	"testing"
)

// However many patches a scan has, its print tones are not known better than the
// scanner is.
func TestScansHaveADoubtInCommon(t *testing.T) {
	s := darkroomScene()
	plain, scanned := s.print(1), s.print(1)
	for i := range scanned.Ramp.Readings {
		scanned.Ramp.Readings[i].Count = 5000
	}
	var sd [2]float64
	for k, p := range []Print{plain, scanned} {
		e, err := Fit([]Print{p}, nil)
		if err != nil {
			t.Fatal(err)
		}
		_, sd[k] = e.PrintLightness(50)
	}
	if want := math.Hypot(sd[0], scanDoubt); math.Abs(sd[1]-want) > 1e-9 {
		t.Errorf("print tone known to %.4f L* from a scan, want %.4f", sd[1], want)
	}
}
