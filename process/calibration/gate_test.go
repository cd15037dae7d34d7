package calibration

import (
	"slices"
	"sort"
	"testing"

	"actinic/process/measure"
	"actinic/process/monotone"
	"actinic/process/opacity"
)

// The tone error of the fit against that of the textbook way: averaging,
// isotonic regression, monotone cubic. mostOfTextbook is what the project asks.
const mostOfTextbook = 0.6

// loosest is the mutant: one hypothesis alone, whose correction may bend at
// every knot as it likes.
func loosest(m *model) []hypothesis {
	free := precisionOf(covarianceAt(opacity.RampGrid, rough, 0.01)).scaled(3)
	return []hypothesis{{0, 0.8, precisionOf(covarianceAt(m.grid, rough, 0.01)).scaled(3), free}}
}

// toneErrorOver fits a print over hypotheses and returns its tone error.
func (s scene) toneErrorOver(t *testing.T, seed uint64, hyps func(*model) []hypothesis) float64 {
	t.Helper()
	p := s.print(seed)
	m, start := collect([]Print{p}, &Options{})
	f, err := m.solveOver(hyps(m), start)
	if err != nil {
		t.Fatal(err)
	}
	return s.error(&Estimate{fit: f, prints: []Print{p}})
}

// textbookError is the same of the textbook way.
func (s scene) textbookError(t *testing.T, ramp *measure.Table) float64 {
	t.Helper()
	var ink, tone, count []float64
	for _, r := range ramp.Readings { // the scene's ramps come in order
		if len(ink) == 0 || ink[len(ink)-1] != r.Ink {
			ink, tone, count = append(ink, r.Ink), append(tone, 0), append(count, 0)
		}
		n := &count[len(ink)-1]
		tone[len(ink)-1] += (r.Value - tone[len(ink)-1]) / (*n + 1)
		*n++
	}
	iso, err := monotone.Isotonic(tone, count, monotone.Increasing)
	if err != nil {
		t.Fatal(err)
	}
	c, err := monotone.New(ink, iso)
	if err != nil {
		t.Fatal(err)
	}
	return s.toneError(c.Held)
}

func median(v []float64) float64 {
	s := slices.Clone(v)
	sort.Float64s(s)
	return s[len(s)/2]
}

// TestAveragingBeatsTheTextbook holds the fit to its gate on smooth and kinked
// inks of known form, and sees the gate fail on the mutant without smoothing.
// -runs 180 takes fifteen prints of each, a plain test five.
func TestAveragingBeatsTheTextbook(t *testing.T) {
	t.Parallel()
	seeds := uint64(max(5, *runsFlag/12))
	for name, uv := range map[string]func(float64) float64{"smooth": smoothInk, "kinked": kinkedInk} {
		s := darkroomScene()
		s.uv = uv
		var fit, rough, book []float64
		for seed := range seeds {
			fit = append(fit, s.toneErrorOver(t, seed, (*model).hypotheses))
			book = append(book, s.textbookError(t, s.print(seed).Ramp))
		}
		limit := mostOfTextbook * median(book)
		for seed := range (seeds + 1) / 2 {
			rough = append(rough, s.toneErrorOver(t, seed, loosest))
		}
		t.Logf("%s: tone error median %.3f L*, textbook %.3f (%.2f of it), without smoothing %.3f",
			name, median(fit), median(book), median(fit)/median(book), median(rough))
		if median(fit) > limit {
			t.Errorf("%s: tone error %.3f L*, over %.2f of the textbook way's %.3f", name, median(fit), mostOfTextbook, median(book))
		}
		if median(rough) <= limit {
			t.Errorf("%s: without smoothing the tone error is %.3f L*: the gate of %.3f could not tell", name, median(rough), limit)
		}
	}
}
