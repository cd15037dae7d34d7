package darkroom_test

import (
	"context"
	"flag"
	"math"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/negative/scan"
	"actinic/process/calibration"
	"actinic/process/density"
)

var opacityScans = flag.Int("opacity-scans", 1, "setups of TestOpacityThroughScans; the figures count from 20 on")

// leastGain is what removing the unevenness of light and coating gains at least:
// error with it left in, against without.
const leastGain = 1.2

// TestOpacityThroughScans does as TestOpacity on paper: the film of the search
// chart is drawn, printed under an uneven lamp on an uneven coating, with mottle,
// grain, dust and a tablet in its window, scanned askew and read. A second print
// gets four times the exposure under the same lamp, on another sheet.
//
// The figures: go test ./negative/darkroom -run '^TestOpacityThroughScans$' -v -timeout 60m -opacity-scans 24 -seed 4242
func TestOpacityThroughScans(t *testing.T) {
	var all []opacityRun
	var uneven uvError
	for i, s := range setupsWithMarks(*opacityScans) {
		r, left, ok := runOpacityScan(t, s)
		if !ok {
			continue
		}
		all = append(all, r)
		uneven.join(left)
		if *opacityScans > 1 {
			t.Logf("setup %d: one print %.4f, two %.4f, beyond %.4f, predicted %.4f, unevenness left in %.4f; %+v",
				i, r.one.rms(), r.two.rms(), r.beyond.rms(), r.predicted.rms(), left.rms(), r.choice)
		}
	}
	if len(all) < *opacityScans {
		t.Fatalf("%d of %d charts were read and fitted", len(all), *opacityScans)
	}
	f := opacityFiguresOf(all)
	f.log(t)
	t.Logf("with the unevenness left in: off by %.4f, 95 %% bands hold %.3f", uneven.rms(), uneven.held())
	if *opacityScans >= fullScans {
		f.hold(t)
		if uneven.rms() < leastGain*f.one.rms() {
			t.Errorf("with the unevenness left in UV density is off by %.4f, without by %.4f: removing it gains too little", uneven.rms(), f.one.rms())
		}
	} else if f.one.rms() > 2*mostUVError || f.predicted.rms() > 2*mostPredicted {
		t.Errorf("UV density off by %.3f, predicted by %.3f: far over %.2f and %.2f", f.one.rms(), f.predicted.rms(), mostUVError, mostPredicted)
	}
}

// setupsWithMarks are n setups in whose darker print the chart's marks still show.
// Marks are printed in black; where that ink is weak, four times the exposure
// prints it as black as clear film, and read rightly finds no chart.
func setupsWithMarks(n int) []*darkroom.Setup {
	const leastContrast = 12 // L*
	var out []*darkroom.Setup
	for i := 0; len(out) < n; i++ {
		s := opacitySetup(i)
		marks := s.TabletLightness(s.Printer().UVDensity([3]float64{}) - longer)
		if marks-s.TabletLightness(0) >= leastContrast {
			out = append(out, s)
		}
	}
	return out
}

// runOpacityScan prints, scans and reads the search chart twice, and also fits
// the first print with the unevenness left in.
func runOpacityScan(t *testing.T, s *darkroom.Setup) (r opacityRun, uneven uvError, ok bool) {
	t.Helper()
	first, second := scannedColours(t, s, 0), scannedColours(t, s, longer)
	if first == nil || second == nil {
		return r, uneven, false
	}
	one, two := fitColours(t, s, nil, *first), fitColours(t, s, nil, *first, *second)
	left := fitColours(t, s, &calibration.Options{KeepUnevenness: true}, *first)
	if one == nil || two == nil || left == nil {
		return r, uneven, false
	}
	return judgeOpacity(t, s, one, two), colourErrors(s, left, 0), true
}

// scannedColours is a print of the search chart as a scan of it reads. More is
// the log exposure beyond the plain print's.
func scannedColours(t *testing.T, s *darkroom.Setup, more float64) *calibration.ColourPrint {
	t.Helper()
	c, print := printSearch(t, s, more)
	o := darkroom.TypicalScan(s.Seed() + uint64(10*more))
	if *opacityScans < fullScans {
		o.PPI = quickPPI
	}
	result, err := scan.Read(context.Background(), []scan.Input{inputOf(darkroom.Scan(print, o))}, c, readOptions(t))
	if err != nil {
		t.Errorf("seed %d: %v", s.Seed(), err)
		return nil
	}
	colours, _, err := chart.Match(result.Patches(), c)
	if err != nil {
		t.Errorf("seed %d: %v", s.Seed(), err)
		return nil
	}
	return &calibration.ColourPrint{Colours: colours, Tablet: result.Tablet()}
}

func printSearch(t *testing.T, s *darkroom.Setup, more float64) (*chart.Chart, *darkroom.ContactPrint) {
	t.Helper()
	ppi := float64(quickPPI)
	if *opacityScans >= fullScans {
		ppi = fullFilmPPI
	}
	c := searchChart(t, ppi, s.Seed())
	f := darkroom.TypicalFrame(s.Seed()+uint64(math.Round(100*more)), ppi)
	f.Lamp.Seed = s.Seed() // one lamp for both
	f.Print.Offset = density.LogExposure(more)
	f.Tablet = darkroom.TypicalTablet(*c.Pages[0].TabletWindow, f.Seed)
	f.Tape = c.Pages[0].OpaqueBox
	print, err := s.Contact(onFilm{chart.Draw(c, 0)}, f)
	if err != nil {
		t.Fatal(err)
	}
	return c, print
}
