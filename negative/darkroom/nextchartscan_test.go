package darkroom_test

import (
	"context"
	"flag"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/negative/scan"
	"actinic/process/calibration"
	"actinic/process/nextchart"
)

var nextScansFlag = flag.Int("next-scans", 1, "setups of TestNextChartThroughScans; the figures count from 20 on")

// TestNextChartThroughScans takes both charts the whole way: film raster, uneven
// print with a tablet, bad scan, readings; the second chart's levels chosen by
// what the first left in doubt. A scan knows a patch so well that a second chart is
// hardly worth its film.
//
// The figures: go test ./negative/darkroom -run '^TestNextChartThroughScans$' -v -next-scans 20 -seed 4242
func TestNextChartThroughScans(t *testing.T) {
	var first, second, before, predicted, found []float64
	for i := range *nextScansFlag {
		seed := *seedFlag*20_000 + uint64(i)
		s := darkroom.NewSetup(seed, darkroom.Families[i%3], darkroom.RampKinds[i/3%3])
		one := scannedPrint(t, s, seed, chart.RampOptions{Levels: loopLevels, Repeats: loopRepeats})
		c := fitted(t, s, []calibration.Print{one})
		if c == nil {
			continue
		}
		b, err := nextchart.BeliefOf(c, "scanned")
		if err != nil {
			t.Fatal(err)
		}
		plan, err := nextchart.Levels(b, loopLevels*loopRepeats, nextchart.LevelOptions{Always: chart.ShownAlways()})
		if err != nil {
			t.Fatal(err)
		}
		c2 := fitted(t, s, []calibration.Print{one, scannedPrint(t, s, seed+10_000, chart.RampOptions{Inks: plan.Ink})})
		if c2 == nil {
			continue
		}
		b2, err := nextchart.BeliefOf(c2, "scanned")
		if err != nil {
			t.Fatal(err)
		}
		first, second = append(first, toneError(s, c)), append(second, toneError(s, c2))
		before, predicted, found = append(before, variance(plan.Before)), append(predicted, variance(plan.After)), append(found, variance(b2.Band()))
	}
	if len(second) < *nextScansFlag {
		t.Fatalf("%d of %d came through", len(second), *nextScansFlag)
	}
	m := quantile(second, 0.5)
	t.Logf("%d setups: tone error median %.3f, 90th percentile %.3f after the first chart, %.3f and %.3f after the second",
		len(second), quantile(first, 0.5), quantile(first, 0.9), m, quantile(second, 0.9))
	t.Logf("mean variance %.4f before, %.4f predicted, %.4f as fitted (medians)", quantile(before, 0.5), quantile(predicted, 0.5), quantile(found, 0.5))
	switch {
	case *nextScansFlag >= fullScans && m > mostNextMedian:
		t.Errorf("tone error %.3f L* after the second chart, want %.2f", m, mostNextMedian)
	case m > mostScanNinety:
		t.Errorf("tone error %.3f L*, want %.2f", m, mostScanNinety)
	}
}

// scannedPrint prints a ramp chart on an uneven sheet, scans and reads it.
func scannedPrint(t *testing.T, s *darkroom.Setup, seed uint64, o chart.RampOptions) calibration.Print {
	t.Helper()
	o.Sheet = chart.Sheet{WidthMM: a4Width, HeightMM: a4Height, MarginMM: printerMarginMM, PPI: quickPPI, Mirrored: true, Seed: seed}
	c, err := chart.NewRamp(o)
	if err != nil {
		t.Fatal(err)
	}
	f := darkroom.TypicalFrame(seed, quickPPI)
	f.Tablet = darkroom.TypicalTablet(*c.Pages[0].TabletWindow, seed)
	f.Tape = c.Pages[0].OpaqueBox
	print, err := s.Contact(onFilm{chart.Draw(c, 0)}, f)
	if err != nil {
		t.Fatal(err)
	}
	result, err := scan.Read(context.Background(), []scan.Input{inputOf(darkroom.Scan(print, badScan(seed)))}, c, readOptions(t))
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	ramp, _, err := chart.Match(result.Patches(), c)
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	return calibration.Print{Ramp: ramp, Tablet: result.Tablet()}
}
