package control

import (
	"math"
	"math/rand/v2"
	"testing"

	"actinic/testdata/vectors"
)

func TestFactorsArePublishedOnes(t *testing.T) {
	table := vectors.Read(t, "control_chart_factors.csv")
	for row, n := range table.Floats("n") {
		if got, want := chiMean(n-1), table.Float(row, "c4"); math.Abs(got-want) > 0.00005 {
			t.Errorf("c4 of %g values: %.5f, published %.4f", n, got, want)
		}
	}
	for _, c := range []struct {
		name                 string
		got, want, tolerance float64
	}{
		{"d2", rangeMean, table.Float(0, "d2"), 0.0005},
		{"d3", rangeSD, table.Float(0, "d3"), 0.0005},
		{"D4", textbookRange, table.Float(0, "upper_range_d4"), 0.0005},
		{"E2", textbookFactor, 2.660, 0.0015}, // 3/1.128, d2 rounded: NIST/SEMATECH e-Handbook 6.3.2.2
	} {
		if math.Abs(c.got-c.want) > c.tolerance {
			t.Errorf("%s: %.5f, published %.3f", c.name, c.got, c.want)
		}
	}
}

// The example of NIST's handbook, whose limits are to four decimals with d2 as
// 1.128, which moves them by a few in the third.
func TestTextbookLimitsArePublishedOnes(t *testing.T) {
	b := newBaseline(vectors.Read(t, "control_chart_individuals.csv").Floats("flowrate"))
	for _, c := range []struct {
		name                 string
		got, want, tolerance float64
	}{
		{"centre", b.Centre, 50.81, 1e-9},
		{"mean moving range", b.MovingRange, 1.8778, 0.00005},
		{"upper limit", b.High, 55.8041, 0.003},
		{"lower limit", b.Low, 45.8159, 0.003},
	} {
		if math.Abs(c.got-c.want) > c.tolerance {
			t.Errorf("%s: %.5f, published %.4f", c.name, c.got, c.want)
		}
	}
}

// Limits from ten values must hold their promise for the next one, though centre
// and scatter are only known from ten: a probability that a simulation counts.
func TestLimitsAreHonestForFewChecks(t *testing.T) {
	const runs = 20_000
	random := rand.New(rand.NewPCG(71, 5))
	for _, n := range []int{5, 7, 10} {
		for _, probability := range []float64{0.05, 0.01} {
			reach := studentReach(probability, rangeFreedom(n))
			out, textbook := 0, 0
			for range runs {
				values := make([]float64, n)
				for i := range values {
					values[i] = random.NormFloat64()
				}
				b := newBaseline(values)
				next := random.NormFloat64()
				if math.Abs(next-b.Centre) > reach*b.reach(1, 1) {
					out++
				}
				if next < b.Low || next > b.High {
					textbook++
				}
			}
			got := float64(out) / runs
			// The larger of two estimates of the scatter errs to the safe side.
			noise := 4 * math.Sqrt(probability/runs)
			if got > 1.1*probability+noise || got < 0.3*probability-noise {
				t.Errorf("limits from %d: %.4f of the next checks outside, %.4f promised", n, got, probability)
			}
			if share := float64(textbook) / runs; share < 0.0054 {
				t.Errorf("textbook limits from %d: %.4f outside; they are known to fail (0.0027 promised)", n, share)
			}
		}
	}
}

// The scatter from moving ranges of ten values is about as good as a standard
// deviation of seven: Wheeler gives 0.62 (n-1) degrees of freedom (from memory).
func TestRangeFreedom(t *testing.T) {
	for _, n := range []int{5, 10, 20, 50} {
		if got, want := rangeFreedom(n), 0.62*float64(n-1); math.Abs(got-want) > 0.5+0.02*want {
			t.Errorf("%d values: %.2f degrees of freedom, about %.2f expected", n, got, want)
		}
	}
}

func TestMovingAverageRunLengths(t *testing.T) {
	table := vectors.Read(t, "moving_average_run_length.csv")
	random := rand.New(rand.NewPCG(72, 5))
	known := Baseline{Count: 1 << 40, SD: 1, Freedom: 1e6} // as good as known
	l := driftLimits{base: known, single: math.Inf(1), movingRange: math.Inf(1), average: 3, weight: 0.05}
	const runs = 4000
	for row, shift := range table.Floats("shift") {
		sum := 0
		for range runs {
			points := make([]DriftPoint, 300)
			for i := range points {
				points[i].Value = random.NormFloat64() + shift
			}
			points[0].InLimits = true // the first is where watching starts from
			l.watch(points)
			first, _ := struck(points)
			if first < 0 {
				t.Fatalf("shift %g: no alarm in %d", shift, len(points))
			}
			sum += first
		}
		got, want := float64(sum)/runs, table.Float(row, "run_length")
		if math.Abs(got-want) > 0.05+0.03*want {
			t.Errorf("shift %g: average run length %.2f, published %.1f", shift, got, want)
		}
	}
}

// The four zone rules fire once in 91.75 checks of a steady process, the first
// alone once in 371: Champ and Woodall, Technometrics 29, 1987, as quoted by the
// NIST/SEMATECH e-Handbook, 6.3.2.
func TestZoneRulesFireAsOftenAsPublished(t *testing.T) {
	random := rand.New(rand.NewPCG(73, 5))
	const runs = 4000
	sum := 0
	for range runs {
		var d []float64
		for {
			d = append(d, random.NormFloat64())
			sum++
			if anyZone(d) {
				break
			}
		}
	}
	if got := float64(sum) / runs; math.Abs(got-91.75) > 5 {
		t.Errorf("average run length of the zone rules: %.1f, published 91.75", got)
	}
}

func anyZone(d []float64) bool {
	recent := d[max(0, len(d)-8):]
	for _, r := range zones {
		if r.fires(recent) {
			return true
		}
	}
	return false
}

func TestStandsOut(t *testing.T) {
	// The copper wire is the example of Grubbs 1969 (strength in pounds): the largest,
	// 596, is doubtful at 5 %, not at 1 % (from memory).
	for _, c := range []struct {
		name   string
		values []float64
		want   int
	}{
		{"one far off", []float64{0.01, -0.02, 0.03, 0, 0.3, -0.01, 0.02, -0.03, 0.01, 0}, 4},
		{"copper wire", []float64{568, 570, 570, 570, 572, 572, 572, 578, 584, 596}, -1},
		{"even", []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, -1},
	} {
		if got := standsOut(c.values); got != c.want {
			t.Errorf("%s: %d stands out, %d expected", c.name, got, c.want)
		}
	}
}

func TestRuns(t *testing.T) {
	b := Baseline{Centre: 10, SD: 2}
	for _, c := range []struct {
		name   string
		values []float64
		want   string // "" for none
	}{
		{"two of three", []float64{10, 14.5, 10, 14.5}, zones[1].name},
		{"two of three on two sides", []float64{10, 14.5, 10, 5.5}, ""},
		{"four of five", []float64{12.5, 12.5, 9, 12.5, 12.5}, zones[2].name},
		{"eight on a side", []float64{11, 10.5, 11, 10.2, 10.4, 11, 10.8, 10.1}, zones[3].name},
		{"seven on a side", []float64{11, 10.5, 11, 10.2, 10.4, 11, 10.8}, ""},
		{"falling", []float64{11, 10.8, 10.5, 10.2, 9.8, 9.5}, trend.name},
		{"nothing", []float64{11, 9, 10.2, 9.9}, ""},
	} {
		got := b.runsAt(c.values)
		if c.want == "" && len(got) > 0 || c.want != "" && (len(got) != 1 || got[0] != c.want) {
			t.Errorf("%s: %q, %q expected", c.name, got, c.want)
		}
	}
}
