package control_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"actinic/process/control"
)

var (
	driftRuns = flag.Int("drift-runs", 150, "simulated histories; figures are held to their limits from 2000 on")
	driftSeed = flag.Uint64("seed", 1, "seed of the simulated histories")
)

// driftTally counts over histories.
type driftTally struct {
	checks, alarms      int // after the limits are there, in steady histories
	early, earlyAlarms  int // from the sixth to the tenth check
	plainAlarms         int // of textbook limits and zone rules, at the same checks
	shifts, found       int
	plainFound, foundIn int
	delay               int // sum of checks until found, over those found in 40
	foundInAny          int
}

// TestDriftFigure: a shift of the exposure by 0.10, the setup steady before it for
// ten checks or more, shows in the exposure offset's chart within five checks in
// 85 of 100 histories; and a steady setup raises no more than three alarms in a
// hundred checks, all quantities together. Every check at which a rule fires
// counts as an alarm, those that go on too.
func TestDriftFigure(t *testing.T) {
	for _, c := range []struct {
		name   string
		set    func(*workroom)
		spread float64
		gated  bool
	}{
		{"as the figure says", func(*workroom) {}, 0, true},
		{"other workrooms", func(*workroom) {}, 0.4, true},
		{"three in ten values missing", func(w *workroom) { w.missing = 0.3 }, 0.4, false},
		{"sessions of three that share half the scatter", func(w *workroom) { w.session, w.printToPrint = 0.021, 0.021 }, 0.4, false},
		{"scatter of 0.045", func(w *workroom) { w.printToPrint = 0.045 }, 0.4, false},
	} {
		tally := driftTally{}
		for run := range *driftRuns {
			w := newWorkroom(rand.New(rand.NewPCG(*driftSeed, uint64(run))), c.spread)
			c.set(w)
			tally.steady(t, w.history(60, 60, 0))
			from := 10 + w.random.IntN(15)
			tally.shifted(t, w.history(from+40, from, math.Copysign(0.10, w.random.NormFloat64())), from)
		}
		t.Logf("%s: %.2f alarms in 100 steady checks (checks 6 to 10: %.2f; textbook rules: %.1f); shift found in 5: %.1f %% (by any quantity %.1f %%; textbook rules %.1f %%); in 40: %.1f %%, after %.2f checks on average",
			c.name, percent(tally.alarms, tally.checks), percent(tally.earlyAlarms, tally.early), percent(tally.plainAlarms, tally.checks),
			percent(tally.found, tally.shifts), percent(tally.foundInAny, tally.shifts), percent(tally.plainFound, tally.shifts),
			percent(tally.foundIn, tally.shifts), float64(tally.delay)/float64(max(1, tally.foundIn)))
		if c.gated {
			tally.hold(t, c.name)
		}
	}
}

// hold holds the tally to the figures; a few histories only show that nothing is
// broken.
func (y driftTally) hold(t *testing.T, name string) {
	slack := 0.0
	if *driftRuns < 2000 {
		slack = 1
	}
	if got := percent(y.alarms, y.checks); got > 3+slack {
		t.Errorf("%s: %.2f alarms in 100 checks, 3 allowed", name, got)
	}
	if got := percent(y.found, y.shifts); got < 85-8*slack {
		t.Errorf("%s: %.1f %% of shifts found in five checks, 85 wanted", name, got)
	}
	if got := percent(y.plainAlarms, y.checks); got < 10 {
		t.Errorf("%s: textbook rules give %.1f alarms in 100 checks: the simulation is too kind", name, got)
	}
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(max(1, of)) }

// steady counts the alarms of a history in which nothing happens.
func (y *driftTally) steady(t *testing.T, h []control.DriftInput) {
	r := mustDrift(t, h)
	struck, plain := map[int]bool{}, map[int]bool{}
	for _, c := range r.Charts {
		for i, p := range c.Points {
			struck[p.Check] = struck[p.Check] || len(p.Fired) > 0
			plain[p.Check] = plain[p.Check] || plainFires(c, i)
		}
	}
	for check := 6; check <= len(h); check++ {
		switch {
		case check <= 10:
			y.early++
			y.earlyAlarms += one(struck[check])
		default:
			y.checks++
			y.alarms += one(struck[check])
			y.plainAlarms += one(plain[check])
		}
	}
}

// shifted counts whether a shift from check number from on (from 0) was found.
func (y *driftTally) shifted(t *testing.T, h []control.DriftInput, from int) {
	r := mustDrift(t, h)
	y.shifts++
	found, plain, anyQuantity := 0, 0, 0
	for _, c := range r.Charts {
		for i, p := range c.Points {
			since := p.Check - from // 1 at the first shifted check
			if since < 1 || since > 40 {
				continue
			}
			if len(p.Fired) > 0 && (anyQuantity == 0 || since < anyQuantity) {
				anyQuantity = since
			}
			if c.Quantity != control.QuantityExposure {
				continue
			}
			if len(p.Fired) > 0 && found == 0 {
				found = since
			}
			if plain == 0 && plainFires(c, i) {
				plain = since
			}
		}
	}
	if found > 0 {
		y.foundIn++
		y.delay += found
	}
	y.found += one(found > 0 && found <= 5)
	y.plainFound += one(plain > 0 && plain <= 5)
	y.foundInAny += one(anyQuantity > 0 && anyQuantity <= 5)
}

// plainFires is what textbooks do: the mean and 2.66 mean moving ranges of the
// first ten, and the four zone rules, written here anew.
func plainFires(c control.DriftChart, at int) bool {
	if at < 10 {
		return false
	}
	mean, ranges := 0.0, 0.0
	for i := range 10 {
		mean += c.Points[i].Value / 10
		if i > 0 {
			ranges += math.Abs(c.Points[i].Value-c.Points[i-1].Value) / 9
		}
	}
	beyond := func(last int, sigmas, side float64) (n int) {
		for i := max(0, at-last+1); i <= at; i++ {
			if side*(c.Points[i].Value-mean) > sigmas*ranges/1.128 {
				n++
			}
		}
		return n
	}
	for _, side := range []float64{-1, 1} {
		if beyond(1, 3, side) == 1 || beyond(3, 2, side) >= 2 || beyond(5, 1, side) >= 4 || beyond(8, 0, side) == 8 {
			return true
		}
	}
	return false
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func mustDrift(t *testing.T, h []control.DriftInput) *control.DriftReport {
	t.Helper()
	r, err := control.Drift(h, control.DriftOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}
