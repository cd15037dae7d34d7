package control

import (
	"math"
	"strings"
	"testing"
)

func TestReadEye(t *testing.T) {
	strip := []StripPatch{{"1", 6}, {"2", 3}, {"3", 1}, {"4", 0}, {"5", 50}}
	c := testCalibration(true)
	last := math.Inf(1)
	for patch := 4; patch >= 1; patch-- {
		e, err := ReadEye(patch, c, strip, Record{})
		if err != nil {
			t.Fatal(err)
		}
		if e.TimeFactor.Value >= last {
			t.Errorf("patch %d: time x%.2f, want less than x%.2f of the patch before", patch, e.TimeFactor.Value, last)
		}
		last = e.TimeFactor.Value
		if want := map[bool]string{true: Nothing, false: Time}[patch == 3]; e.Answer.Kind != want {
			t.Errorf("patch %d: %+v", patch, e.Answer)
		}
	}
	for _, patch := range []int{0, 5, -1} {
		if _, err := ReadEye(patch, c, strip, Record{}); err == nil {
			t.Errorf("patch %d was taken", patch)
		}
	}
	c.Ink.Falling = true
	if _, err := ReadEye(3, c, strip, Record{}); err == nil || !strings.Contains(err.Error(), "lighter with exposure") {
		t.Errorf("prints that lighten: %v", err)
	}
	if _, err := ReadEye(3, testCalibration(false), strip, Record{}); err == nil || !strings.Contains(err.Error(), "without a step tablet") {
		t.Errorf("no tablet: %v", err)
	}
}
