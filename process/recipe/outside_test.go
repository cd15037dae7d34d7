package recipe

import (
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/process/density"
)

// TestCASCheckDigits uses the registry's rule: counting from the right, without
// the check digit, the digits times 1, 2, 3 ... sum to the check digit modulo 10
// (CAS Registry, "Check Digit Verification of CAS Registry Numbers"). Water is
// the registry's own example.
func TestCASCheckDigits(t *testing.T) {
	if !casValid("7732-18-5") || casValid("7732-18-4") {
		t.Fatal("the rule itself is wrong")
	}
	for _, c := range Chemicals() {
		for _, n := range c.CAS {
			if !casValid(n.Number) {
				t.Errorf("%s: %s has a wrong check digit", c.ID, n.Number)
			}
		}
	}
}

func casValid(number string) bool {
	parts := strings.Split(number, "-")
	if len(parts) != 3 || len(parts[1]) != 2 || len(parts[2]) != 1 {
		return false
	}
	digits, sum := parts[0]+parts[1], 0
	for i := range digits {
		sum += (len(digits) - i) * int(digits[i]-'0')
	}
	return sum%10 == int(parts[2][0]-'0')
}

// ghsClass is a statement's pictogram and signal word by hazard class and
// category: UN GHS Annex 1 (allocation of label elements) and Annex 3, typed
// from memory apart from the data file.
var ghsClass = map[string]struct{ pictogram, signal string }{
	"H271": {"GHS03", "Danger"}, // oxidizing solids 1
	"H272": {"GHS03", "Danger"}, // oxidizing solids 2 (Warning in 3)
	"H290": {"GHS05", "Warning"},
	"H300": {"GHS06", "Danger"}, // acute toxicity 1, 2
	"H301": {"GHS06", "Danger"}, // 3
	"H302": {"GHS07", "Warning"}, "H310": {"GHS06", "Danger"}, "H312": {"GHS07", "Warning"},
	"H314": {"GHS05", "Danger"}, "H315": {"GHS07", "Warning"}, "H317": {"GHS07", "Warning"},
	"H318": {"GHS05", "Danger"}, "H319": {"GHS07", "Warning"},
	"H330": {"GHS06", "Danger"}, "H332": {"GHS07", "Warning"}, "H334": {"GHS08", "Danger"},
	"H335": {"GHS07", "Warning"}, "H340": {"GHS08", "Danger"}, "H341": {"GHS08", "Warning"},
	"H350": {"GHS08", "Danger"}, "H360": {"GHS08", "Danger"}, "H360FD": {"GHS08", "Danger"},
	"H372": {"GHS08", "Danger"}, "H373": {"GHS08", "Warning"},
	"H400": {"GHS09", "Warning"}, "H410": {"GHS09", "Warning"}, "H411": {"GHS09", ""}, "H412": {"", ""},
	"EUH031": {"", ""}, "EUH032": {"", ""}, // EU supplement: no label elements
}

func TestStatementsFollowTheirClass(t *testing.T) {
	for _, s := range HazardStatements() {
		class, known := ghsClass[s.Code]
		if !known || s.Pictogram != class.pictogram || s.SignalWord != class.signal {
			t.Errorf("%s: %q %q, want %q %q", s.Code, s.Pictogram, s.SignalWord, class.pictogram, class.signal)
		}
	}
}

// TestStatementWords checks wordings against the UN's (GHS Rev. 9, Annex 3,
// from memory; the EU's list of the same statements agrees, with "oxidiser").
func TestStatementWords(t *testing.T) {
	for code, want := range map[string]string{
		"H301":   "Toxic if swallowed",
		"H302":   "Harmful if swallowed",
		"H314":   "Causes severe skin burns and eye damage",
		"H330":   "Fatal if inhaled",
		"H350":   "May cause cancer",
		"H360FD": "May damage fertility. May damage the unborn child",
		"EUH031": "Contact with acids liberates toxic gas",
		"EUH032": "Contact with acids liberates very toxic gas",
	} {
		if s, _ := FindHazardStatement(code); s.Text != want {
			t.Errorf("%s: %q, want %q", code, s.Text, want)
		}
	}
}

// TestLabelsFollowGHS derives pictograms and signal word of every chemical and
// variant from its codes, with the precedence of UN GHS 1.4.10.5.3: the skull
// leaves out the exclamation mark; corrosion leaves it out for skin and eye
// irritation; the health hazard, for lungs, leaves it out for skin
// sensitisation and irritation; Danger leaves out Warning.
func TestLabelsFollowGHS(t *testing.T) {
	check := func(where, signal string, pictograms, codes []string) {
		t.Helper()
		wantPictograms, wantSignal := ghsLabel(codes)
		if !slices.Equal(pictograms, wantPictograms) || signal != wantSignal {
			t.Errorf("%s: %v %q, want %v %q", where, pictograms, signal, wantPictograms, wantSignal)
		}
	}
	for _, c := range Chemicals() {
		check(c.ID, c.SignalWord, c.Pictograms, c.Statements)
		for _, v := range c.Variants {
			check(c.ID+" "+v.When, v.SignalWord, v.Pictograms, v.Statements)
		}
	}
}

func ghsLabel(codes []string) (pictograms []string, signal string) {
	shown := map[string]bool{}
	for _, code := range codes {
		shown[ghsClass[code].pictogram] = true
	}
	for _, code := range codes {
		class := ghsClass[code]
		if class.signal == "Danger" || signal == "" {
			signal = class.signal
		}
		if class.pictogram == "" || class.pictogram == "GHS07" && exclamationLeftOut(code, codes, shown) {
			continue
		}
		if !slices.Contains(pictograms, class.pictogram) {
			pictograms = append(pictograms, class.pictogram)
		}
	}
	slices.Sort(pictograms)
	return pictograms, signal
}

func exclamationLeftOut(code string, codes []string, shown map[string]bool) bool {
	irritation := slices.Contains([]string{"H315", "H319"}, code)
	switch {
	case shown["GHS06"]:
		return true
	case irritation && shown["GHS05"]:
		return true
	case slices.Contains(codes, "H334"):
		return irritation || code == "H317"
	}
	return false
}

// TestEyeLimit checks the arithmetic t = 10 000 / E of the UV-A limit for the
// eye (ICNIRP, Health Physics 87(2):171-186, 2004: 10 000 J/m2 in 8 h), and that
// the lamp-safety form of it, 10 W/m2, is the same limit at 1000 s.
func TestEyeLimit(t *testing.T) {
	for irradiance, want := range map[float64]float64{10: 1000, 20: 500, 50: 200, 100: 100, 200: 50} {
		if got, err := SecondsToEyeLimit(irradiance); err != nil || got != want {
			t.Errorf("%g W/m2: %g s, %v; want %g s", irradiance, got, err, want)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := SecondsToEyeLimit(bad); err == nil {
			t.Errorf("%g W/m2 was taken", bad)
		}
	}
	limits := UVLimits()
	if limits[0].Value != eyeLimitJM2 || limits[1].Value*1000 != limits[0].Value || limits[2].Value != 30 {
		t.Errorf("limits on file: %+v", limits)
	}
	// At 365 nm, weight 0.00011, the actinic limit of 30 J/m2 allows 273 kJ/m2:
	// the eye limit governs, as the remark says.
	if actinic := limits[2].Value / 0.00011; math.Abs(actinic-273e3) > 500 || actinic < eyeLimitJM2 {
		t.Errorf("actinic limit at 365 nm is %g J/m2", actinic)
	}
}

// TestPalladiumDichromate holds the fit against the published table it came
// from (S. King, dichromate in developer), to the 0.02 it claims.
func TestPalladiumDichromate(t *testing.T) {
	c, err := Find("palladium_dop")
	if err != nil {
		t.Fatal(err)
	}
	if len(c.ContrastTable) != 6 {
		t.Fatalf("%d rows, want 6", len(c.ContrastTable))
	}
	for _, row := range c.ContrastTable {
		fit := math.Round(100*float64(dichromateScale(row.MLPerLitre))) / 100 // the table's digits
		if off := math.Abs(fit - float64(row.ExposureScale)); off > 0.02+1e-9 {
			t.Errorf("%g ml/L: fit is off by %.2f", row.MLPerLitre, off)
		}
		// Every scale that the table gives can be asked for, its ends too: 0.02 of scale
		// is a tenth of a dose.
		if ml, err := PalladiumDichromate(row.ExposureScale); err != nil || math.Abs(ml/row.MLPerLitre-1) > 0.12 {
			t.Errorf("exposure scale %.2f: %.2f ml/L, %v; the table has %g", float64(row.ExposureScale), ml, err, row.MLPerLitre)
		}
	}
	if ml, err := PalladiumDichromate(1.55); err != nil || math.Abs(ml-3.3) > 0.05 {
		t.Errorf("exposure scale 1.55 takes %.2f ml/L, %v; want 3.3", ml, err)
	}
	for _, bad := range []density.LogExposure{1.0, 1.9, density.LogExposure(math.NaN())} {
		if _, err := PalladiumDichromate(bad); err == nil {
			t.Errorf("exposure scale %g lies outside the table and was taken", float64(bad))
		}
	}
}

// TestPalladiumDichromateInverse: the dose and the scale undo each other.
func TestPalladiumDichromateInverse(t *testing.T) {
	for scale := 1.11; scale < 1.78; scale += 0.01 {
		ml, err := PalladiumDichromate(density.LogExposure(scale))
		if err != nil {
			t.Fatal(err)
		}
		if back := float64(dichromateScale(ml)); math.Abs(back-scale) > 1e-12 {
			t.Errorf("scale %g came back as %g", scale, back)
		}
	}
}

// TestCoatingPerArea: 1 ml on 20 square inches is 77.5 ml/m2 (Rudiak,
// Platinotype, 1994, converted), so 4.0 ml on 8 x 10 in.
func TestCoatingPerArea(t *testing.T) {
	c := Card{CoatingML8x10: &Range[float64]{Typical: 4}}
	if got := c.CoatingMLPerM2(); math.Abs(got-77.5) > 0.05 {
		t.Errorf("4 ml on 8 x 10 in is %.2f ml/m2, want 77.5", got)
	}
	if got := (Card{}).CoatingMLPerM2(); got != 0 {
		t.Errorf("pre-coated: %g ml/m2, want 0", got)
	}
}
