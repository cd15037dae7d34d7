package tablet

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/fault"
	"actinic/testdata/vectors"
)

// The usual tablets by their makers' nominal densities; step_tablets_nominal.csv
// says where they come from.
func TestParseNominal(t *testing.T) {
	notations := map[string]string{"11x0.30": "11x0.30+0.05", "21x0.15": "21x0.15+0.05", "31x0.10": "31x0.10+0.05"}
	checked := map[string]int{}
	v := vectors.Read(t, "step_tablets_nominal.csv")
	for i := range v.Rows {
		notation, ok := notations[v.Cell(i, "tablet")]
		if !ok {
			continue // a reflection scale
		}
		tab, err := Parse(notation)
		if err != nil {
			t.Fatal(err)
		}
		step, want := int(v.Float(i, "step")), v.Float(i, "D_nominal")
		if got := tab.Steps[step-1]; float64(got.Density) != want || got.Name != v.Cell(i, "step") {
			t.Errorf("%s step %d: %v, want %g exactly", notation, step, got, want)
		}
		checked[notation]++
	}
	for n, want := range map[string]int{"11x0.30+0.05": 11, "21x0.15+0.05": 21, "31x0.10+0.05": 31} {
		if tab, _ := Parse(n); checked[n] != want || len(tab.Steps) != want || tab.Calibrated {
			t.Errorf("%s: %d steps checked of %d, calibrated %v", n, checked[n], len(tab.Steps), tab.Calibrated)
		}
	}
}

func TestParseForms(t *testing.T) {
	want, _ := Parse("21x0.15+0.05")
	for _, s := range []string{"21x0,15+0,05", " 21 X 0.15 + 0.05 ", "21×.15+.05", "21x15e-2+0.05"} {
		got, err := Parse(s)
		if err != nil {
			t.Errorf("%q: %v", s, err)
			continue
		}
		for i := range want.Steps {
			if got.Steps[i] != want.Steps[i] {
				t.Errorf("%q: step %d is %v, want %v", s, i+1, got.Steps[i], want.Steps[i])
			}
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, s := range []string{
		"", "21", "21x0.15", "x0.15+0.05", "21x0.15+", "21x-0.15+0.05", "21x0+0.05", "1x0.15+0.05", "201x0.01+0",
		"999999999x0.1+0", "9999999999x0.1+0", "21x0.30+0.05", "21x0.1.5+0.05", "21x1e999+0", "21xNaN+0.05", "21x0.15+-0.05", "3x1e-9+0",
	} {
		_, err := Parse(s)
		var e *fault.Error
		if !errors.As(err, &e) || e.Hint != Hint {
			t.Errorf("%q: got %v, want an error with the notation as a hint", s, err)
		}
	}
}

func TestParsedTabletsRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(MinSteps, MaxSteps).Draw(t, "count")
		inc := rapid.IntRange(1, 600/n).Draw(t, "increment")
		s := strconv.Itoa(n) + "x" + strconv.FormatFloat(float64(inc)/100, 'g', -1, 64) + "+0"
		tab, err := Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		for i, step := range tab.Steps {
			if i > 0 && !(step.Density > tab.Steps[i-1].Density && step.SD > tab.Steps[i-1].SD) {
				t.Fatalf("%s: step %d does not rise", s, i+1)
			}
		}
	})
}

// realTablet is a calibrated 31-step tablet of nominal 0.05 + 0.10 (n-1), measured
// by others; step 16 read 1.53 and 1.51.
var realTablet = []float64{
	.04, .16, .25, .36, .46, .56, .66, .75, .85, .95, 1.05, 1.14, 1.25, 1.34, 1.44, 1.52, 1.61, 1.69, 1.81, 1.91, 2.02,
	2.13, 2.22, 2.33, 2.43, 2.53, 2.63, 2.72, 2.83, 2.94, 3.03,
}

// A real tablet must lie within the tolerance, and use enough of it that the
// standard uncertainty is no fiction.
func TestToleranceHoldsARealTablet(t *testing.T) {
	tab, err := Parse("31x0.10+0.05")
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i, s := range tab.Steps {
		dev := realTablet[i] - float64(s.Density)
		if limit := UncalibratedLimit(s.Density); math.Abs(dev) > limit {
			t.Errorf("step %s: %+.3f from nominal, tolerance %.3f", s.Name, dev, limit)
		}
		sum += dev * dev / (s.SD * s.SD)
	}
	if rms := math.Sqrt(sum / float64(len(tab.Steps))); rms < 0.3 || rms > 1.2 {
		t.Errorf("deviations are %.2f standard uncertainties, expected 0.3 to 1.2", rms)
	}
}

// GUM 4.3.7: half width 0.02 + 0.03 x 1 = 0.05, over the root of 3.
func TestUncalibratedSD(t *testing.T) {
	if got := UncalibratedSD(1); math.Abs(got-0.0288675134595) > 1e-12 {
		t.Errorf("got %.13f", got)
	}
}

func TestReadCSV(t *testing.T) {
	tab, err := ReadCSV(strings.NewReader("# certificate of an invented laboratory\nstep;tablet_density;sd\n1;0,04;\n2;0,16;0,005\n3;0,16;0\n"), "dir/t.csv")
	if err != nil {
		t.Fatal(err)
	}
	want := []Step{{"1", 0.04, CalibratedSD}, {"2", 0.16, 0.005}, {"3", 0.16, 0}}
	if !tab.Calibrated || tab.Name != "t.csv" || len(tab.Steps) != 3 {
		t.Fatalf("got %+v", tab)
	}
	for i := range want {
		if tab.Steps[i] != want[i] {
			t.Errorf("step %d: %v, want %v", i, tab.Steps[i], want[i])
		}
	}
}

func TestReadCSVRefuses(t *testing.T) {
	for _, c := range []struct{ in, where, what string }{
		{"", "", "empty file"},
		{"step,density\n1,0.1\n", "line 1, column density", "unknown column"},
		{"step,sd\n1,0.1\n", "line 1", "no column tablet_density"},
		{"step,tablet_density\n1,0.1\n", "", "1 steps"},
		{"step,tablet_density\n1,0.1\n1,0.2\n", "line 3, column step", "twice"},
		{"step,tablet_density\n1,0.2\n2,0.1\n", "line 3, column tablet_density", "below"},
		{"step,tablet_density\n1,-0.1\n2,0.1\n", "line 2, column tablet_density", "0 to 6"},
		{"step,tablet_density\n1,0.1\n2,61\n", "line 3, column tablet_density", "0 to 6"},
		{"step,tablet_density,sd\n1,0.1,-1\n2,0.2,\n", "line 2, column sd", "standard uncertainty"},
		{"step,tablet_density\n,0.1\n2,0.2\n", "line 2, column step", "empty"},
		{"step,tablet_density\n1,x\n2,0.2\n", "line 2, column tablet_density", `"x"`},
	} {
		_, err := ReadCSV(strings.NewReader(c.in), "t.csv")
		var e *fault.Error
		if !errors.As(err, &e) || e.File != "t.csv" || e.Where != c.where || !strings.Contains(e.What, c.what) {
			t.Errorf("%q: got %v, want %s: ...%s", c.in, err, c.where, c.what)
		}
	}
	if _, err := ReadFile(filepath.Join(t.TempDir(), "none.csv")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a missing file: %v", err)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"21x0.15+0.05", "31×0,10+0,05", "2x3+0", "x", "21x0.15", "200x1e-3+1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tab, err := Parse(s)
		if err != nil {
			return
		}
		for i, step := range tab.Steps {
			if step.Density < 0 || step.Density > MaxDensity || (i > 0 && step.Density < tab.Steps[i-1].Density) {
				t.Fatalf("%q: step %d has density %g", s, i+1, step.Density)
			}
		}
	})
}
