package examples

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/process/calibration"
	"actinic/process/measure"
	"actinic/process/nextchart"
	"actinic/process/printer"
)

// fourTimes is the log exposure of 32 minutes over 8.
const fourTimes = 0.602

const inkSimulated = `# Simulated: printed and read in the virtual darkroom, not measured.
# Invented scenario: classic cyanotype on generic cotton paper, UV tubes, `

// TestInkColourReadings holds the readings of the folder ink-colour to what the
// virtual darkroom gives, one step of the job after the other.
func TestInkColourReadings(t *testing.T) {
	setup, _ := Scenario()
	short, second := ColoursSheet.print(), SecondSheet.print()
	long := darkroom.Print{Offset: longer + 0.01 + fourTimes, MaximumShift: -0.02}
	ship(t, "short.csv", coloursCSV(t, "8 min.\n", setup, short, 5000))
	ship(t, "short.tablet.csv", tabletOf(inkSimulated+"8 min.\n", setup, short, 5100))
	ship(t, "long.csv", coloursCSV(t, "32 min.\n", setup, long, 5200))
	ship(t, "long.tablet.csv", tabletOf(inkSimulated+"32 min.\n", setup, long, 5300))

	inks := inksOf(t)
	path, err := inks.Path(false)
	if err != nil {
		t.Fatal(err)
	}
	along := func(p float64) [3]float64 { return path.At(p) }
	blend := setup.Along(along)
	first := FirstSheet.print()
	ship(t, "ramp.csv", alongCSV("8 min; a first chart along the ink blend.\n", blend, path, levelsTwice(), first, 5400))
	ship(t, "ramp.tablet.csv", tabletOf(inkSimulated+"8 min.\n", blend, first, 5500))
	ship(t, "second.csv", alongCSV("8 min; a second chart along the ink blend.\n", blend, path, nextLevels(t, inks, along), second, 5600))
	ship(t, "second.tablet.csv", tabletOf(inkSimulated+"8 min.\n", blend, second, 5700))

	other := otherPrinter(setup).Along(along)
	ship(t, "foreign.csv", alongCSV("8 min; the same chart, but from a printer with other inks.\n", other, path, levelsTwice(), second, 5800))
	ship(t, "foreign.tablet.csv", tabletOf(inkSimulated+"8 min; on the print from the other printer.\n", other, second, 5900))
	ship(t, "brown.tablet.csv", tabletOf("# Simulated: printed and read in the virtual darkroom, not measured.\n"+
		"# Invented scenario: Van Dyke brown on generic cotton paper, UV tubes, 6 min.\n",
		darkroom.NewSetup(brownSeed, darkroom.Probit, darkroom.Smooth), darkroom.Print{Offset: 0.15}, 6000))
	ship(t, "spectra.csv", spectraCSV())
}

// whiteNeeds is the UV density that paper white needs at 8 minutes, and a little
// more: they are longer than first black.
const whiteNeeds = 1.8

// brownSeed is of a paper that is worked as another process, whose needed range
// the inks reach.
const brownSeed = 20

// otherPrinter is a printer with other inks; it lays down no less of them.
func otherPrinter(setup *darkroom.Setup) *darkroom.Setup {
	return setup.With(darkroom.NewPrinter(printerSeed+1, darkroom.PrinterOptions{Densest: printerDensest}))
}

func ship(t *testing.T, name string, want []byte) {
	t.Helper()
	checkShipped(t, filepath.Join("ink-colour", name), want)
}

// coloursCSV reads the patches of the usual chart of colours, by their names on
// the print.
func coloursCSV(t *testing.T, what string, setup *darkroom.Setup, print darkroom.Print, stream uint64) []byte {
	t.Helper()
	c, err := chart.NewColours(chart.ColoursOptions{Patches: 200,
		Sheet: chart.Sheet{WidthMM: 210, HeightMM: 297, MarginMM: 6, PPI: 360, Mirrored: true, Seed: 1}})
	if err != nil {
		t.Fatal(err)
	}
	patches := c.Pages[0].Patches
	rgb := make([][3]float64, len(patches))
	for i, p := range patches {
		rgb[i] = *p.Device
	}
	b := bytes.NewBufferString(inkSimulated + what)
	fmt.Fprintf(b, "# The patches of a chart of colours, by an instrument; %.1f L* of reading noise.\n", noiseLstar)
	fmt.Fprintln(b, "patch,red,green,blue,print_lstar")
	noise := darkroom.Noise{LightnessSD: noiseLstar}
	for i, r := range setup.ColourReadings(rgb, print, noise, darkroom.Random(scenarioSeed, stream)) {
		fmt.Fprintf(b, "%s,%g,%g,%g,%.2f\n", patches[i].ID, rgb[i][0], rgb[i][1], rgb[i][2], r.Lightness)
	}
	return b.Bytes()
}

// alongCSV reads a ramp of film inks along a path.
func alongCSV(what string, setup *darkroom.Setup, path printer.Path, inks []float64, print darkroom.Print, stream uint64) []byte {
	b := bytes.NewBufferString(inkSimulated + what)
	fmt.Fprintf(b, "# %d patches, by an instrument; %.1f L* of reading noise.\n", len(inks), noiseLstar)
	fmt.Fprintln(b, "patch,ink,red,green,blue,print_lstar")
	noise := darkroom.Noise{LightnessSD: noiseLstar}
	for _, r := range setup.RampReadings(inks, 1, print, noise, darkroom.Random(scenarioSeed, stream)) {
		c := path.At(r.Ink)
		fmt.Fprintf(b, "%s,%.3f,%.2f,%.2f,%.2f,%.2f\n", r.ID, r.Ink, c[0], c[1], c[2], r.Lightness)
	}
	return b.Bytes()
}

func levelsTwice() []float64 {
	var inks []float64
	for i := range rampLevels {
		ink := 100 * float64(i) / (rampLevels - 1)
		inks = append(inks, ink, ink)
	}
	return inks
}

func shipped(t *testing.T, name string) *measure.Table {
	t.Helper()
	table, err := measure.ReadFile(filepath.Join("ink-colour", name), nil)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// inksOf is what the two prints of colours say of the inks.
func inksOf(t *testing.T) *calibration.Inks {
	t.Helper()
	colours, err := calibration.FitColours([]calibration.ColourPrint{
		{Colours: shipped(t, "short.csv"), Tablet: shipped(t, "short.tablet.csv"), Exposure: 480},
		{Colours: shipped(t, "long.csv"), Tablet: shipped(t, "long.tablet.csv"), Exposure: 1920}}, &calibration.Options{})
	if err != nil {
		t.Fatal(err)
	}
	inks, err := colours.Inks(calibration.InksRequest{Made: time.Unix(0, 0), NeededRange: whiteNeeds})
	if err != nil {
		t.Fatal(err)
	}
	return inks
}

// nextLevels are the levels of the second chart.
func nextLevels(t *testing.T, inks *calibration.Inks, along func(float64) [3]float64) []float64 {
	t.Helper()
	ramp := shipped(t, "ramp.csv")
	e, err := calibration.Fit([]calibration.Print{{Ramp: ramp, Tablet: shipped(t, "ramp.tablet.csv")}}, &calibration.Options{})
	if err != nil {
		t.Fatal(err)
	}
	path, err := inks.PrintedPath([]*measure.Table{ramp})
	if err != nil {
		t.Fatal(err)
	}
	c, err := e.Build(calibration.Request{Aim: calibration.AimLightness, Made: time.Unix(0, 0), Path: path})
	if err != nil {
		t.Fatal(err)
	}
	belief, err := nextchart.BeliefOf(c, "")
	if err != nil {
		t.Fatal(err)
	}
	sheet := chart.Sheet{WidthMM: 210, HeightMM: 297, MarginMM: 6, PPI: 360, Mirrored: true, Seed: 1}
	device := func(ink float64) [3]float64 {
		d := along(ink)
		return [3]float64{d[0] / 255, d[1] / 255, d[2] / 255}
	}
	plan, err := nextchart.Levels(belief, belief.ReadingsAPrint(),
		nextchart.LevelOptions{Codes: sheet.Codes(device), Always: chart.ShownAlways()})
	if err != nil {
		t.Fatal(err)
	}
	return plan.Ink
}

// spectraCSV is an invented table of transmittances: clear film that ends at 310
// nm, and inks on it whose densities are bells and slopes made up to look like
// dyes. No ink was measured.
func spectraCSV() []byte {
	bell := func(nm, peak, width, most float64) float64 {
		return most * math.Exp(-0.5*(nm-peak)*(nm-peak)/(width*width))
	}
	samples := []struct {
		name    string
		density func(nm float64) float64
	}{
		{"clear", func(float64) float64 { return 0 }},
		{`"255,255,0"`, func(nm float64) float64 { return bell(nm, 410, 45, 2.4) + bell(nm, 310, 40, 1.2) }},
		{`"255,0,255"`, func(nm float64) float64 { return 0.3 + bell(nm, 550, 60, 2) + bell(nm, 360, 30, 0.3) }},
		{`"0,255,255"`, func(nm float64) float64 { return 0.25 + bell(nm, 640, 60, 2) + bell(nm, 340, 30, 0.5) }},
		{`"0,0,0"`, func(nm float64) float64 { return 1.7 + 0.2*(420-nm)/100 }},
	}
	b := bytes.NewBufferString("# Invented: no film and no ink was measured. Transmittance, ink on film.\n")
	fmt.Fprint(b, "wavelength_nm")
	for _, s := range samples {
		fmt.Fprintf(b, ",%s", s.name)
	}
	fmt.Fprintln(b)
	for nm := 300.0; nm <= 500; nm += 10 {
		film := 0.9 / (1 + math.Exp((312-nm)/4))
		fmt.Fprintf(b, "%g", nm)
		for _, s := range samples {
			fmt.Fprintf(b, ",%.3g", film*math.Pow(10, -s.density(nm)))
		}
		fmt.Fprintln(b)
	}
	return b.Bytes()
}
