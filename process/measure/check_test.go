package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Ranks with ties at their mean, worked by hand.
func TestRanks(t *testing.T) {
	got := ranks([]float64{3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5})
	want := []float64{4.5, 1.5, 6, 1.5, 8, 11, 3, 10, 8, 4.5, 8}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func rampOf(lstar ...float64) *Table {
	t := &Table{Kind: Ramp, File: "r.csv", Unit: InLightness}
	for i, l := range lstar {
		r := Blank()
		r.ID, r.Ink, r.Value, r.Unit = fmt.Sprint(i), float64(i*10), l, InLightness
		t.Readings = append(t.Readings, r)
	}
	return t
}

func TestCheckSense(t *testing.T) {
	right := rampOf(20, 21, 20.5, 40, 60, 80, 90)
	wrong := rampOf(90, 80, 81, 40, 20, 20, 20)
	for name, c := range map[string]struct {
		tab     *Table
		falling bool
		what    string
	}{
		"right":                {right, true, ""},
		"wrong":                {wrong, true, "the print gets darker as the ink rises, expected lighter"},
		"positive process":     {wrong, false, ""},
		"wrong for a positive": {right, false, "the print gets lighter as the ink rises, expected darker"},
		"scattered":            {rampOf(50, 20, 51, 21, 52, 20), true, ""},
		"flat":                 {rampOf(50, 50, 50, 50, 50), true, ""},
		"too few":              {rampOf(90, 50, 20), true, ""},
	} {
		err := CheckSense(c.tab, c.falling)
		if c.what == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if e := wantFault(t, name, err); e.File != "r.csv" || e.What != c.what || !strings.Contains(e.Hint, "columns swapped") {
			t.Errorf("%s: %v (hint: %s)", name, e, e.Hint)
		}
	}
	tab := read(t, "step,tablet_density,print_density\n1,0.1,0.2\n2,0.4,0.5\n3,0.7,1.1\n4,1,1.5\n", nil)
	if e := wantFault(t, "tablet", CheckSense(tab, true)); !strings.Contains(e.What, "tablet density") {
		t.Errorf("tablet: %v", e)
	}
	if err := CheckSense(read(t, "patch,red,green,blue,print_density\nA,1,2,3,1\nB,2,2,3,1\nC,3,2,3,1\nD,4,2,3,1\n", nil), true); err != nil {
		t.Errorf("colours have no order: %v", err)
	}
	// Solid black has L* 0 and no finite density; its rank is still known.
	if err := CheckSense(rampOf(0, 0, 10, 20, 90), true); err != nil {
		t.Errorf("black: %v", err)
	}
}

func TestCheckCount(t *testing.T) {
	tab := rampOf(20, 30, 40)
	tab.Readings[2].Ink = tab.Readings[1].Ink
	if err := CheckCount(tab, 2, "x"); err != nil {
		t.Error(err)
	}
	e := wantFault(t, "count", CheckCount(tab, 3, "the curve needs them"))
	if e.What != "2 different inks, expected at least 3: the curve needs them" {
		t.Errorf("got %v", e)
	}
	strips := read(t, "step,strip,tablet_density,print_density\n1,a,0.1,1\n1,b,0.1,1\n", nil)
	colours := read(t, "patch,red,green,blue,print_density\nA,1,2,3,1\nB,2,2,3,1\nC,2,2,3,1\n", nil)
	spectra := read(t, "wavelength_nm,a\n365,1\n", nil)
	for _, c := range []struct {
		tab  *Table
		have int
	}{{strips, 1}, {colours, 2}, {spectra, 1}} {
		if CheckCount(c.tab, c.have, "x") != nil || CheckCount(c.tab, c.have+1, "x") == nil {
			t.Errorf("%v: want %d levels", c.tab.Kind, c.have)
		}
	}
}

func TestCheckKind(t *testing.T) {
	tab := rampOf(20)
	if err := CheckKind(tab, Tablet, Ramp); err != nil {
		t.Error(err)
	}
	if e := wantFault(t, "kind", CheckKind(tab, Tablet, Colours)); e.What != "holds an ink ramp, expected a step tablet or ink colours" {
		t.Errorf("got %v", e)
	}
	if !math.IsInf(float64(Reading{Unit: InLightness}.Density()), 1) {
		t.Error("L* 0 must have infinite density")
	}
}
