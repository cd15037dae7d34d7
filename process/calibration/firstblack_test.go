package calibration

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
	"actinic/testdata/vectors"
)

// stripShapes are papers, written out apart from the fit's own code: the share of
// the net density at a log exposure of its own. A logistic and ones skewed either
// way (Richards 1959), grains of spread sensitivity (a normal distribution), a
// sensitiser that light uses up (first-order kinetics), and Gompertz' curve.
func stripShapes(rng *rand.Rand) []func(float64) float64 {
	m, p := 0.5+1.5*rng.Float64(), 0.8+0.5*rng.Float64()
	return []func(float64) float64{
		func(x float64) float64 { return 1 / (1 + math.Exp(-x)) },
		func(x float64) float64 { return math.Pow(1+math.Exp(-x), -1/m) },
		func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) },
		func(x float64) float64 { return 1 - math.Exp(-math.Exp(p*x)) },
		func(x float64) float64 { return math.Exp(-math.Exp(-x)) },
	}
}

// trueFirstBlack is the first black of every simulated strip, in seconds.
const trueFirstBlack = 480

// stripTruth stretches a shape to a needed range of its own, 1.1 to 2.2, and lays
// 97 % of its net density at the true first black.
func stripTruth(rng *rand.Rand, net float64) func(amount float64) float64 {
	shapes := stripShapes(rng)
	f := shapes[rng.IntN(len(shapes))]
	reaches := func(want float64) float64 {
		return float64(sort.Search(400000, func(i int) bool { return f(float64(i-200000)/10000) >= want })-200000) / 10000
	}
	black, toe := reaches(0.97), reaches(0.04/net)
	scale := (black - toe) / (1.1 + 1.1*rng.Float64())
	return func(amount float64) float64 {
		if amount == 0 {
			return 0
		}
		return f(black + scale*math.Log10(amount/trueFirstBlack))
	}
}

// areaRead is a reading of one area of a strip.
func areaRead(id string, amount, value float64, unit measure.Unit) measure.Reading {
	return flat(func(r *measure.Reading) {
		r.ID, r.Unit, r.Value = id, unit, value
		r.Exposure = sensitometry.Exposure{Amount: amount, Unit: sensitometry.Seconds}
	})
}

func stripTable(unit measure.Unit, readings ...measure.Reading) *measure.Table {
	return &measure.Table{Kind: measure.Exposures, Unit: unit, Name: "strip.csv", File: "strip.csv", Readings: readings}
}

// simulatedStrip is a strip over four stops somewhere about the true first black.
func simulatedStrip(rng *rand.Rand, strips int, paper bool, unit measure.Unit, noise float64) *measure.Table {
	base, net := 0.05+0.08*rng.Float64(), 0.9+0.8*rng.Float64()
	truth := stripTruth(rng, net)
	first := math.Log10(trueFirstBlack) - 0.9 + 0.4*rng.Float64()
	t := stripTable(unit)
	add := func(id string, amount float64) {
		d := density.Density(base + net*truth(amount))
		value := float64(d)
		if unit == measure.InLightness {
			value = float64(d.Lightness())
		}
		t.Readings = append(t.Readings, areaRead(id, amount, value+noise*rng.NormFloat64(), unit))
	}
	for i := range strips {
		add(strconv.Itoa(i+1), math.Pow(10, first+1.2*float64(i)/float64(strips-1)))
	}
	if paper {
		add("paper", 0)
	}
	return t
}

// TestFirstBlackDoubt holds the 95 % bands to their word over papers of all
// shapes, with few strips and many, with and without unexposed paper. Bands half
// as wide must fail, or the gate could not tell. With -runs 300 the limits are
// those that the project sets itself, 93 to 98.5; the few runs of a plain test
// widen them by their own scatter.
func TestFirstBlackDoubt(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(*seedFlag, 480))
	var held, heldByHalf, count float64
	kinds := 0
	for _, kind := range []struct {
		strips int
		unit   measure.Unit
		noise  float64
	}{
		{5, measure.InLightness, 0.5}, {9, measure.InLightness, 0.5}, {13, measure.InLightness, 0.5},
		{9, measure.InDensity, 0.01}, {9, measure.InLightness, 0.8},
	} {
		kinds++
		here, n, sum, stated := 0.0, 0.0, 0.0, 0.0
		for run := range *runsFlag {
			f, err := FindFirstBlack(simulatedStrip(rng, kind.strips, run%2 == 0, kind.unit, kind.noise), false)
			if err != nil {
				continue
			}
			off, half := math.Log10(f.Black.Value/trueFirstBlack), math.Log10(f.High/f.Low)/2
			n++
			sum += off * off
			stated += half / coverage95
			if math.Abs(off) <= half {
				here++
			}
			if math.Abs(off) <= half/2 {
				heldByHalf++
			}
		}
		t.Logf("%2d strips, noise %.2f %-7v: %3.0f of %d answered, off by %.3f (root mean square), doubt %.3f, held %.1f %%",
			kind.strips, kind.noise, kind.unit, n, *runsFlag, math.Sqrt(sum/n), stated/n, 100*here/n)
		held, count = held+here, count+n
	}
	if all := float64(kinds * *runsFlag); count < 0.9*all {
		t.Errorf("%.0f of %.0f strips gave an answer", count, all)
	}
	slack := 3 * math.Sqrt(0.95*0.05/count)
	if *runsFlag >= 300 {
		slack = 0
	}
	t.Logf("held %.1f %%, half as wide %.1f %%", 100*held/count, 100*heldByHalf/count)
	if share := held / count; share < 0.93-slack || share > 0.985+slack {
		t.Errorf("95 %% bands hold %.1f %%, want 93 to 98.5", 100*share)
	}
	if share := heldByHalf / count; share >= 0.93-slack {
		t.Errorf("bands half as wide hold %.1f %%: the gate could not tell", 100*share)
	}
}

// The 21-step example of the vectors, re-expressed as exposures of a strip: the
// first step is 960 s. Black, 97 % of net density, lies at logH 1.5 + ln(97/3)/4 by
// hand from the file's own formula, so at 960 x 10^(2.3690 - 3.00) = 224.5 s.
func TestFirstBlackOfTheExample(t *testing.T) {
	v := vectors.Read(t, "sensitometry_21step.csv")
	want := 960 * math.Pow(10, 1.5+math.Log(97.0/3)/4-3)
	for _, every := range []int{1, 2} {
		table := stripTable(measure.InDensity)
		for i := 0; i < len(v.Rows); i += every {
			amount := 960 * math.Pow(10, v.Float(i, "logH")-3)
			table.Readings = append(table.Readings, areaRead(v.Cell(i, "step"), amount, v.Float(i, "D_print"), measure.InDensity))
		}
		f, err := FindFirstBlack(table, false)
		if err != nil {
			t.Fatal(err)
		}
		if off := math.Log10(f.Black.Value / want); math.Abs(off) > 0.03 || !(f.Low < want && want < f.High) {
			t.Errorf("every %d: first black %.1f s (%.1f to %.1f), want %.1f", every, f.Black.Value, f.Low, f.High, want)
		}
		if math.Abs(f.MaximumDensity.Value-1.5) > 0.01 || f.Reversed != nil || f.Next != nil || len(f.Outliers) > 0 {
			t.Errorf("every %d: %+v", every, f)
		}
	}
}

// logisticStrip is a faultless strip of a logistic paper with first black at 480 s,
// read as density, for the exposures given.
func logisticStrip(falling bool, amounts ...float64) *measure.Table {
	t := stripTable(measure.InDensity)
	for i, amount := range amounts {
		x := math.Log(97.0/3)/4 + math.Log10(amount/trueFirstBlack)
		if falling {
			x = -x
		}
		t.Readings = append(t.Readings, areaRead(strconv.Itoa(i+1), amount, 0.08+1.4/(1+math.Exp(-4*x)), measure.InDensity))
	}
	return t
}

func doubling(from float64, n int) []float64 {
	var out []float64
	for i := range n {
		out = append(out, from*math.Pow(2, float64(i)/2))
	}
	return out
}

// Most of a strip may have turned back: what is left of it answers, and what
// turned is named.
func TestFirstBlackWithReversal(t *testing.T) {
	table := logisticStrip(false, doubling(60, 11)...) // 60 s to 1920 s
	for i, loss := range map[int]float64{10: 0.25, 9: 0.18, 8: 0.10} {
		table.Readings[i].Value -= loss
	}
	f, err := FindFirstBlack(table, false)
	if err != nil {
		t.Fatal(err)
	}
	r := f.Reversed
	if r == nil || strings.Join(r.Patches, " ") != "11 10 9" || math.Abs(r.From-960) > 1 || math.Abs(r.Longest-679) > 1 || r.By < 0.2 || r.Unit != "density" {
		t.Fatalf("reversal %+v", r)
	}
	if f.Strips != 11 || math.Abs(f.Longest-1920) > 1e-9 || !(f.Low < trueFirstBlack && trueFirstBlack < f.High) {
		t.Errorf("%+v", f)
	}
	// Noise alone is no reversal.
	table = logisticStrip(false, doubling(60, 11)...)
	table.Readings[10].Value -= 0.02
	if f, err = FindFirstBlack(table, false); err != nil || f.Reversed != nil {
		t.Errorf("%+v, %v", f.Reversed, err)
	}
}

// Where prints lighten with exposure, the answer is the first paper white: 0.04
// above the paper is at a share of 0.04/1.4, so by hand at
// -ln(1.4/0.04 - 1)/4 = -0.882 of the mirrored logistic.
func TestFirstWhite(t *testing.T) {
	f, err := FindFirstBlack(logisticStrip(true, doubling(30, 15)...), true)
	if err != nil {
		t.Fatal(err)
	}
	want := trueFirstBlack * math.Pow(10, math.Log(1.4/0.04-1)/4-math.Log(97.0/3)/4)
	if f.Black != nil || !f.Falling || f.End() != "paper white" || math.Abs(math.Log10(f.White.Value/want)) > 0.05 {
		t.Errorf("first white %+v, want %.0f s", f.White, want)
	}
}

// Positions and unexposed paper: the first change nothing, for on a strip they are
// the exposure; the second tells the paper.
func TestFirstBlackOfPositionsAndPaper(t *testing.T) {
	plain := logisticStrip(false, doubling(120, 9)...)
	placed := logisticStrip(false, doubling(120, 9)...)
	for i := range placed.Readings {
		placed.Readings[i].XMM, placed.Readings[i].YMM = float64(20*i), 50
	}
	a, err1 := FindFirstBlack(plain, false)
	b, err2 := FindFirstBlack(placed, false)
	if err1 != nil || err2 != nil || *a.Black != *b.Black {
		t.Errorf("%+v and %+v, %v, %v", a.Black, b.Black, err1, err2)
	}
	if a.PaperRead || len(a.Notices) != 1 || !strings.Contains(a.Notices[0], "unexposed paper") {
		t.Errorf("without paper: %+v", a)
	}
	plain.Readings = append(plain.Readings, areaRead("paper", 0, 0.08, measure.InDensity))
	c, err := FindFirstBlack(plain, false)
	if err != nil || !c.PaperRead || c.Strips != 9 || c.Shortest != 120 || len(c.Notices) > 0 || math.Abs(c.PaperDensity.Value-0.08) > 0.02 {
		t.Errorf("with paper: %+v, %v", c, err)
	}
}

// An area that its file flags is left out and named.
func TestFirstBlackLeavesFlaggedOut(t *testing.T) {
	whole := logisticStrip(false, doubling(120, 9)...)
	want, err := FindFirstBlack(&measure.Table{Kind: whole.Kind, Unit: whole.Unit, Name: whole.Name, Readings: slices.Delete(slices.Clone(whole.Readings), 4, 5)}, false)
	if err != nil {
		t.Fatal(err)
	}
	whole.Readings[4].Flag, whole.Readings[4].Value = "two halves differ", 0.2
	got, err := FindFirstBlack(whole, false)
	if err != nil || *got.Black != *want.Black || len(got.Notices) == 0 || !strings.Contains(got.Notices[0], "(two halves differ)") {
		t.Errorf("%+v, %v; want %+v and the flag named", got, err, want.Black)
	}
}

// A strip whose answer lies beyond the strip before the last asks for another.
func TestFirstBlackAsksForMore(t *testing.T) {
	f, err := FindFirstBlack(logisticStrip(false, 30, 60, 120, 240, 520), false)
	if err != nil {
		t.Fatal(err)
	}
	if f.Next == nil || f.Next.Strips != 9 || f.Next.From >= f.Black.Value/2 || f.Next.To <= 520 {
		t.Errorf("next %+v", f.Next)
	}
}

// Whatever the readings are, there is an answer within its own band, or an error
// that says why not.
func TestFirstBlackOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]measure.Unit{measure.InDensity, measure.InLightness}).Draw(t, "unit")
		table := stripTable(unit)
		for i := range rapid.IntRange(1, 14).Draw(t, "readings") {
			amount := rapid.SampledFrom([]float64{0, 1e-9, 1, 10, 30, 60, 120, 240, 480, 960, 1920, 1e9}).Draw(t, "amount")
			value := rapid.Float64Range(0, 3).Draw(t, "density")
			if unit == measure.InLightness {
				value *= 33
			}
			table.Readings = append(table.Readings, areaRead(strconv.Itoa(i), amount, value, unit))
		}
		f, err := FindFirstBlack(table, rapid.Bool().Draw(t, "falling"))
		var user *fault.Error
		switch {
		case err == nil && !(f.Low > 0 && f.Low <= f.Answer().Value && f.Answer().Value <= f.High && !math.IsInf(f.High, 1)):
			t.Errorf("%v between %g and %g", f.Answer(), f.Low, f.High)
		case err != nil && !errors.As(err, &user):
			t.Errorf("no error for users: %v", err)
		}
	})
}

func TestFirstBlackRefuses(t *testing.T) {
	swapped := logisticStrip(false, doubling(60, 12)...)
	for i := range 3 {
		a, b := &swapped.Readings[2+i], &swapped.Readings[6+i]
		a.Value, b.Value = b.Value, a.Value
	}
	paper := logisticStrip(false, 120, 240, 480)
	paper.Readings = append(paper.Readings, areaRead("paper", 0, 0.08, measure.InDensity))
	dark := logisticStrip(false, doubling(900, 9)...)
	dark.Readings = append(dark.Readings, areaRead("paper", 0, 0.08, measure.InDensity))
	tests := []struct {
		name    string
		table   *measure.Table
		falling bool
		want    string
	}{
		{"too few", paper, false, "3 different exposures, expected at least 4"},
		{"not reached", logisticStrip(false, doubling(30, 7)...), false, "the longest strip, 4 min, does not reach black: about"},
		{"far from reached", logisticStrip(false, doubling(15, 7)...), false, "does not reach black: at least"},
		{"black from the start", dark, false, "the shortest strip, 15 min, is at black already"},
		{"no tone", logisticStrip(false, doubling(2000, 9)...), false, "L* only, expected at least 5"},
		{"the wrong way", logisticStrip(true, doubling(60, 9)...), false, "gets darker as the exposure gets shorter"},
		{"swapped", swapped, false, "tone turns back"},
		{"a slip of the pen", logisticStrip(false, 0.01, 120, 240, 480, 960), false, "expected the longest at most 10000 times the shortest"},
		{"a tablet", &measure.Table{Kind: measure.Tablet, File: "strip.csv"}, false, "holds a step tablet, expected a test strip"},
	}
	for _, test := range tests {
		f, err := FindFirstBlack(test.table, test.falling)
		var user *fault.Error
		if !errors.As(err, &user) || user.File != "strip.csv" || !strings.Contains(user.What, test.want) || user.Hint == "" {
			t.Errorf("%s: %v, %+v, want %q with a hint", test.name, err, f, test.want)
		}
	}
}
