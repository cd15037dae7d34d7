package measure

import (
	"math"
	"strings"
	"testing"

	"actinic/process/tablet"
)

// A file says in a comment that its densities are the maker's: they then carry
// the doubt that --steps gives them.
func TestNominalDensitiesCarryTheirDoubt(t *testing.T) {
	const body = "step,tablet_density,print_lstar\n1,0.05,20\n2,1.55,60\n"
	for text, nominal := range map[string]bool{
		body: false,
		"# " + NominalTablet + ": 21x0.15+0.05\n" + body: true,
		"# measured, not nominal\n" + body:               false,
	} {
		got, err := Read(strings.NewReader(text), "t.csv", nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range got.Readings {
			want := math.NaN()
			if nominal {
				want = tablet.UncalibratedSD(r.Tablet)
			}
			if r.TabletSD != want && !(math.IsNaN(want) && math.IsNaN(r.TabletSD)) {
				t.Errorf("%q: doubt %g, want %g", text, r.TabletSD, want)
			}
		}
	}
}
