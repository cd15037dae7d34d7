package calibration

import (
	"math"
	"testing"

	"actinic/process/measure"
)

// The pages of a chart were coated and exposed each by itself; readings that
// have no place, and names with a hyphen of their own, are not pages.
func TestPagesAreSheetsOfTheirOwn(t *testing.T) {
	reading := func(id string, x float64) measure.Reading { return measure.Reading{ID: id, XMM: x, YMM: x} }
	ramp := &measure.Table{Kind: measure.Ramp, Readings: []measure.Reading{
		reading("2-A1", 10), reading("A1", 10), reading("full-tl", 12), reading("3-B2", 9), reading("2-A2", 20), reading("2-Z9", math.NaN())}}
	tablet := &measure.Table{Kind: measure.Tablet}
	got := eachSheet([]Print{{Ramp: ramp, Tablet: tablet}, {Tablet: tablet}})
	want := [][]string{{"A1", "full-tl", "2-Z9"}, {"2-A1", "2-A2"}, {"3-B2"}, nil}
	if len(got) != len(want) {
		t.Fatalf("%d prints, want %d", len(got), len(want))
	}
	for i, p := range got {
		var ids []string
		if p.Ramp != nil {
			for _, r := range p.Ramp.Readings {
				ids = append(ids, r.ID)
			}
		}
		if len(ids) != len(want[i]) {
			t.Fatalf("print %d holds %q, want %q", i+1, ids, want[i])
		}
		for k := range ids {
			if ids[k] != want[i][k] {
				t.Errorf("print %d holds %q, want %q", i+1, ids, want[i])
			}
		}
		if has := p.Tablet != nil; has != (i == 0 || i == 3) {
			t.Errorf("print %d has a tablet: %t", i+1, has)
		}
	}
	if len(ramp.Readings) != 6 {
		t.Error("the table that was given changed")
	}
}
