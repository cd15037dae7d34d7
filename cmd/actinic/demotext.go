package main

import (
	"fmt"
	"io"
	"path/filepath"
)

// demoText says what was done, what the numbers mean and what to open.
func demoText(w io.Writer, r demoResult) error {
	at := func(name string) string { return filepath.Join(r.Folder, name) }
	c, f := r.Curve.CurveSummary, r.Film
	_, err := fmt.Fprintf(w, demoReport,
		r.Folder, at(demoFirst.stem+".tif"), r.Patches, at(demoFirst.scan), at(demoFirst.readings), at(demoFirst.tablet),
		at(demoCalibration), optionalText(c.ExposureScale, 2), optionalText(c.InkRange, 2), reachWords(c), toneDoubt(c.MiddleSD),
		at(demoNegative), f.WidthPX, f.HeightPX, f.Depth, f.WidthMM, f.HeightMM,
		r.Virtual.Typical, r.Virtual.Largest,
		at(demoSecond.stem+".tif"), at(demoSecond.scan), secondWords(r.Second), at(demoBoth),
		at(demoColours.stem+".tif"), r.Inks.Colours, at(demoColours.scan), inksWords(r.Inks), at(demoInks),
		r.Report, at(demoFirst.found), at(demoProof), at(demoSheet),
		at(demoCharacteristic), at(demoUVDensity), at(demoCurve), at(demoTones), at(demoRanked), at(demoBlend),
		handCommands(r), r.Caution)
	return err
}

const demoReport = `A first cyanotype, start to end, in %s. Print and scan of each chart are
simulated, the photograph is real.

1. Chart         %s
                 %d patches, a window for a step tablet, marks; printed 8 min in a
                 virtual darkroom: %s
2. Readings      %s, %s
                 of patches and step tablet, read from that scan
3. Calibration   %s
                 exposure scale %s: from the first tone to 90 %% of black, log10
                 ink range %s: the light that full ink stops%s
                 middle tone known to %s (one standard uncertainty)
4. Negative      %s
                 %d x %d pixels of %d bits, %.1f x %.1f mm, mirrored: ink side down
5. Check         printed in the virtual darkroom, the tones of all pixels lie within
                 %.1f L* of their aim as a rule, %.1f L* at most

Two charts more:
6. Second chart  %s
                 patches where the first left most doubt; printed: %s
%s                 %s: both prints
7. Ink colours   %s
                 %d colours, printed: %s
%s                 %s: all of it

Open:
  %s  all of it in one page to read, or to print
  %s  what was read where on the scan
  %s  the print to expect; its hue is an estimate
  %s  the negative on A4 at exact size, with rulers and check strip
  %s, %s, %s,
  %s  what the program found out
  %s, %s  what each ink colour stops, and the ink blend

The same by hand:
%s
%s
`

// The text of a step stands so far in.
const (
	demoIndent = 17
	demoWidth  = 86
)

func demoLines(text string) string { return folded(text, demoIndent, demoIndent, demoWidth) }

// secondWords says what the second chart was expected to tell, and how its print
// stands to the first.
func secondWords(r demoSecondResult) string {
	text := demoLines(verdictWords(r.Plan.Verdict))
	if prints := r.Curve.Prints; len(prints) > 1 {
		text += demoLines(prints[1].Line())
	}
	return text
}

// inksWords says which ink colour was found, what its blend is worth, and how the
// neutral ramp does beside them.
func inksWords(r demoInksResult) string {
	if r.InkColour == nil || r.Blend == nil {
		return demoLines("No ink colour was found.")
	}
	text := demoLines(fmt.Sprintf("best ink colour: RGB %s, UV density %s", rgbText(r.InkColour.RGB()), r.chosenUV()))
	text += demoLines(fmt.Sprintf("largest step of UV density at 8 bits: neutral %.3f, straight to this colour %.3f, along its ink blend %.3f",
		r.Neutral.LargestStep, r.Blend.Straight.LargestStep, r.Blend.Blend.LargestStep))
	return text
}

// chosenUV is what the chosen ink colour stops.
func (r *demoInksResult) chosenUV() string {
	for _, c := range r.Ranking {
		if c.RGB() == r.InkColour.RGB() {
			uv, _ := rankedUV(c)
			return uv
		}
	}
	return "not known"
}

// handCommands are the commands that do what the demo did.
func handCommands(r demoResult) string {
	at := func(name string) string { return filepath.Join(r.Folder, name) }
	return fmt.Sprintf(`  actinic chart ramp -o chart
  actinic read %s --chart chart.chart.json --steps %s -o my.csv
  actinic curve --ramp my.csv --tablet my.tablet.csv --process %s --exposure %s -o my.calibration.json
  actinic negative %s --calibration my.calibration.json -o film.tif
  actinic sheet film.tif --marks --check-strip --calibration my.calibration.json -o film.pdf
  actinic proof %s --calibration my.calibration.json -o proof.png
`, at(demoFirst.scan), usualTablet, demoProcess, demoExposure, at(demoPhoto), at(demoPhoto))
}
