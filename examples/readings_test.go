package examples

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

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
	for name, want := range map[string][]byte{"ramp.csv": rampCSV(), "tablet.csv": tabletCSV()} {
		path := filepath.Join("first-cyanotype", name)
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
	steps := make([]density.Density, tabletSteps)
	for i := range steps {
		steps[i] = density.Density(0.05 + 0.15*float64(i))
	}
	noise := darkroom.Noise{LightnessSD: noiseLstar}
	b := bytes.NewBufferString(simulated)
	fmt.Fprintf(b, "# Step tablet of %d steps in the window of the same film; %.1f L* of reading noise.\n", tabletSteps, noiseLstar)
	fmt.Fprintln(b, "step,tablet_density,print_lstar")
	setup, print := Scenario()
	for _, r := range setup.TabletReadings(steps, print, noise, darkroom.Random(scenarioSeed, 2000)) {
		fmt.Fprintf(b, "%s,%.2f,%.2f\n", r.ID, float64(r.Tablet), r.Lightness)
	}
	return b.Bytes()
}
