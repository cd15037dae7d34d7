package recipe

import (
	"math"
	"strings"
	"testing"

	"actinic/testdata/vectors"
)

// TestMolarMass against another program's periodic table. Its atomic weights are
// of another year and not abridged, hence 0.01 % and not the last digit.
func TestMolarMass(t *testing.T) {
	v := vectors.Read(t, "molar_masses.csv")
	for i := range v.Rows {
		formula, want := v.Cell(i, "formula"), v.Float(i, "grams_per_mol")
		got, err := MolarMass(formula)
		if err != nil || math.Abs(got/want-1) > 1e-4 {
			t.Errorf("%s: %.3f, %v; want %.3f", formula, got, err, want)
		}
	}
}

// TestHydrateFactor: sodium thiosulfate, 248.2/158.1 = 1.57 (molar masses as
// suppliers print them on the label, from memory); oxalic acid 126.07/90.03 =
// 1.400 and citric acid 210.14/192.12 = 1.094, likewise.
func TestHydrateFactor(t *testing.T) {
	for _, tc := range []struct {
		of, in     string
		want, half float64
	}{
		{"Na2S2O3", "Na2S2O3.5H2O", 1.57, 0.005},
		{"H2C2O4", "H2C2O4.2H2O", 1.400, 0.0005},
		{"C6H8O7", "C6H8O7.H2O", 1.094, 0.0005},
		{"NaCl", "NaCl", 1, 1e-12},
	} {
		got, err := HydrateFactor(tc.of, tc.in)
		if err != nil || math.Abs(got-tc.want) > tc.half {
			t.Errorf("%s for %s: %g, %v; want %g", tc.in, tc.of, got, err, tc.want)
		}
		if back, err := HydrateFactor(tc.in, tc.of); err != nil || math.Abs(back*got-1) > 1e-12 {
			t.Errorf("%s and back: %g", tc.of, back*got)
		}
	}
}

func TestMolarMassRefuses(t *testing.T) {
	for _, bad := range []string{"", ".", "na", "Xy", "Na2S2O3.", "(NaCl", "NaCl)", "()", "Na()", "Na0", "0H2O", "Na1001", "Na99999999999999999999",
		"Na Cl", "H2O\x00", "é", strings.Repeat("(", 40), strings.Repeat("H", 81)} {
		if m, err := MolarMass(bad); err == nil {
			t.Errorf("%q has %g g/mol", bad, m)
		}
	}
}

func FuzzMolarMass(f *testing.F) {
	for _, seed := range []string{"Na2S2O3.5H2O", "(NH4)3Fe(C2O4)3.3H2O", "((H))2", "H.H", "(", ")2", "2"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, formula string) {
		if m, err := MolarMass(formula); err == nil && (!(m >= 1) || math.IsInf(m, 0)) {
			t.Errorf("%q has %g g/mol", formula, m)
		}
	})
}
