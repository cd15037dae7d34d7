package measure

import (
	"math"
	"strings"
	"testing"

	"actinic/process/density"
)

// A tablet that nobody named is written without densities, and read back with the
// name; comments stand before the header and change nothing.
func TestWriteTabletWithoutDensities(t *testing.T) {
	table := &Table{Kind: Tablet, Unit: InLightness, Comments: []string{"page 1 of chart 7", "read from scan.tif"}}
	for i, l := range []float64{20, 40, 80} {
		r := Blank()
		r.ID, r.Value, r.Unit, r.Tablet = string(rune('1'+i)), l, InLightness, density.Density(math.NaN())
		table.Readings = append(table.Readings, r)
	}
	var b strings.Builder
	if err := WriteCSV(&b, table); err != nil {
		t.Fatal(err)
	}
	want := "# page 1 of chart 7\n# read from scan.tif\nstep,print_lstar\n1,20\n2,40\n3,80\n"
	if b.String() != want {
		t.Fatalf("wrote %q, want %q", b.String(), want)
	}
	got, err := Read(strings.NewReader(b.String()), "t.csv", &Options{Steps: "3x0.5+0.1"})
	if err != nil {
		t.Fatal(err)
	}
	if d := got.Readings[2].Tablet; math.Abs(float64(d)-1.1) > 1e-12 || got.Readings[2].Value != 80 {
		t.Errorf("step 3 reads back as %+v", got.Readings[2])
	}
	table.Comments = []string{"two\nlines"}
	if err := WriteCSV(&b, table); err == nil {
		t.Error("a comment of two lines is written")
	}
}
