package examples

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/process/density"
)

var update = flag.Bool("update", false, "write the example readings anew")

const (
	rampLevels  = 41
	repeats     = 2
	tabletSteps = 21
	noiseLstar  = 0.5 // of one reading, as with a careful scan
)

// TestReadingsAreThoseOfTheDarkroom holds the shipped readings to what the
// virtual darkroom gives; 'go test ./examples -update' writes them anew.
func TestReadingsAreThoseOfTheDarkroom(t *testing.T) {
	for name, want := range map[string][]byte{
		"ramp.csv": rampCSV(), "tablet.csv": tabletCSV(), "instrument.csv": instrumentCSV(t), "strip.csv": stripCSV()} {
		checkShipped(t, filepath.Join("first-cyanotype", name), want)
	}
}

// checkShipped holds a shipped file to what it must be, or writes it anew.
func checkShipped(t *testing.T, path string, want []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, want, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the virtual darkroom gives: run go test ./examples -update", path)
	}
}

const simulated = `# Simulated: printed and read in the virtual darkroom, not measured.
# Invented scenario: classic cyanotype on generic cotton paper, UV tubes, 8 min.
`

func rampCSV() []byte {
	levels := make([]float64, rampLevels)
	for i := range levels {
		levels[i] = 100 * float64(i) / (rampLevels - 1)
	}
	noise := darkroom.Noise{LightnessSD: noiseLstar}
	b := bytes.NewBufferString(simulated)
	fmt.Fprintf(b, "# Neutral ink ramp, %d levels printed %d times; %.1f L* of reading noise.\n", rampLevels, repeats, noiseLstar)
	fmt.Fprintln(b, "patch,ink,red,green,blue,print_lstar")
	setup, print := Scenario()
	for _, r := range setup.RampReadings(levels, repeats, print, noise, darkroom.Random(scenarioSeed, 1000)) {
		code := 255 - 2.55*r.Ink
		fmt.Fprintf(b, "%s,%.1f,%.3f,%.3f,%.3f,%.2f\n", r.ID, r.Ink, code, code, code, r.Lightness)
	}
	return b.Bytes()
}

func tabletCSV() []byte {
	setup, print := Scenario()
	return tabletOf(simulated, setup, print, 2000)
}

// tabletOf reads the step tablet on a print, under a heading.
func tabletOf(heading string, setup *darkroom.Setup, print darkroom.Print, stream uint64) []byte {
	steps := make([]density.Density, tabletSteps)
	for i := range steps {
		steps[i] = density.Density(0.05 + 0.15*float64(i))
	}
	noise := darkroom.Noise{LightnessSD: noiseLstar}
	b := bytes.NewBufferString(heading)
	fmt.Fprintf(b, "# Step tablet of %d steps in the window of the same film; %.1f L* of reading noise.\n", tabletSteps, noiseLstar)
	fmt.Fprintln(b, "step,tablet_density,print_lstar")
	for _, r := range setup.TabletReadings(steps, print, noise, darkroom.Random(scenarioSeed, stream)) {
		fmt.Fprintf(b, "%s,%.2f,%.2f\n", r.ID, float64(r.Tablet), r.Lightness)
	}
	return b.Bytes()
}

// instrumentCSV reads the patches of the usual ramp chart, by name.
func instrumentCSV(t *testing.T) []byte {
	t.Helper()
	c, err := chart.NewRamp(chart.RampOptions{Levels: rampLevels, Repeats: repeats,
		Sheet: chart.Sheet{WidthMM: 210, HeightMM: 297, MarginMM: 6, PPI: 360, Mirrored: true, Seed: 1}})
	if err != nil {
		t.Fatal(err)
	}
	patches := c.Pages[0].Patches
	inks := make([]float64, len(patches))
	for i, p := range patches {
		inks[i] = *p.Ink
	}
	b := bytes.NewBufferString(simulated)
	fmt.Fprintf(b, "# The patches of the chart, by their names on the print; %.1f L* of reading noise.\n", noiseLstar)
	fmt.Fprintln(b, "patch,print_lstar")
	setup, print := Scenario()
	for i, r := range setup.RampReadings(inks, 1, print, darkroom.Noise{LightnessSD: noiseLstar}, darkroom.Random(scenarioSeed, 3000)) {
		fmt.Fprintf(b, "%s,%.2f\n", patches[i].ID, r.Lightness)
	}
	return b.Bytes()
}

// stripCSV reads a test strip, exposed 2 to 32 minutes in half stops.
func stripCSV() []byte {
	b := bytes.NewBufferString("# Simulated: printed and read in the virtual darkroom, not measured.\n" +
		"# Invented scenario: classic cyanotype on generic cotton paper, UV tubes; a test strip.\n")
	fmt.Fprintln(b, "patch,exposure_s,print_lstar")
	setup, print := Scenario()
	times := []float64{120, 170, 240, 340, 480, 680, 960, 1365, 1920}
	less := make([]density.Density, len(times))
	for i, s := range times {
		less[i] = density.Density(math.Log10(480 / s)) // than the 8 minutes of the scenario
	}
	for i, r := range setup.TabletReadings(less, print, darkroom.Noise{LightnessSD: noiseLstar}, darkroom.Random(scenarioSeed, 4000)) {
		fmt.Fprintf(b, "%d,%g,%.2f\n", i+1, times[i], r.Lightness)
	}
	fmt.Fprintf(b, "paper,0,%.2f\n", setup.PrintDensityOn(print, -9).Lightness())
	return b.Bytes()
}
