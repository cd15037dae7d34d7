package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"actinic/examples"
	"actinic/negative/batch"
	"actinic/negative/chart"
	"actinic/negative/proof"
	"actinic/negative/raster"
	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/testdata/photos"

	"github.com/spf13/cobra"
)

// newDemo returns the command that shows the main job.
func newDemo(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "demo DIR",
		Short: "The main job from start to end, as an example",
		Long: `Runs the main job on an invented first cyanotype and leaves all of it in the
folder DIR: a chart on film, a scan of its print, the readings, the calibration,
plots, a photograph, its negative as 16-bit TIFF and as PDF at exact size, and a
proof of the print. It needs nothing else. A virtual darkroom stands for lamp,
paper and scanner: the print and its scan are simulated.

At the end the negative is printed there, too, and it says how far the tones of
that print lie from their aim.

A folder that is not empty is left alone without --force.

With --json: {"folder", "files", "patches", "calibration", "negative",
"virtual_print", "caution"}.`,
		Example: "  actinic demo out",
		Args:    exactly("DIR"),
		RunE:    func(cmd *cobra.Command, args []string) error { return runDemo(cmd.Context(), a, args[0]) },
	}
}

// The files of the demo.
const (
	demoChart          = "ramp"
	demoScan           = "scan.png"
	demoFound          = "scan-read.png"
	demoRamp           = "ramp.csv"
	demoTablet         = "ramp.tablet.csv"
	demoPhoto          = "dandelions.jpg"
	demoCalibration    = "first-cyanotype.calibration.json"
	demoCharacteristic = "characteristic.png"
	demoUVDensity      = "uv-density.png"
	demoCurve          = "curve.png"
	demoPrint          = "expected-print.png"
	demoNegative       = "negative.tif"
	demoSheet          = "negative.pdf"
	demoProof          = "proof.png"

	demoProcess  = "cyanotype_classic"
	demoExposure = "8m"
)

// demo is one run of the demo.
type demo struct {
	*app
	folder string
	chart  *chart.Chart
	result demoResult
}

// demoResult is what 'demo' prints with --json.
type demoResult struct {
	Folder  string             `json:"folder"`
	Files   []string           `json:"files"` // in the order of the job
	Patches int                `json:"patches"`
	Curve   curveResult        `json:"calibration"`
	Film    batch.Film         `json:"negative"`
	Virtual examples.ToneError `json:"virtual_print"`
	Caution string             `json:"caution"`
}

func (d *demo) path(name string) string { return filepath.Join(d.folder, name) }

func runDemo(ctx context.Context, a *app, folder string) error {
	if err := a.demoFolder(folder); err != nil {
		return err
	}
	// What the steps tell in passing is told again at the end, in order.
	silent := *a
	silent.global.quiet = true
	d := demo{app: &silent, folder: folder, result: demoResult{Folder: folder}}
	for _, step := range []func(context.Context) error{d.bring, d.draw, d.contact, d.scanned, d.calibrate, d.expose, d.lay, d.show, d.compare} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return a.print(d.result, func(w io.Writer) error { return demoText(w, d.result) })
}

// demoFolder makes the folder of the demo, and refuses one with other things
// in it unless --force is given.
func (a *app) demoFolder(folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(folder, 0o777); err != nil {
			return fault.Wrap(err, folder, "", "the folder cannot be made: "+err.Error(), "choose another place")
		}
		return nil
	case err != nil:
		return fault.Wrap(err, folder, "", "is not a folder that can be used: "+err.Error(), "name a new folder")
	case len(entries) > 0 && !a.global.force:
		return fault.New(folder, "", "the folder is not empty", "name a new folder, or add --force to write into this one")
	}
	return nil
}

// bring writes the photograph that the job starts from.
func (d *demo) bring(context.Context) error {
	return d.save(nil, job{demoPhoto, binaryContent, func(w io.Writer) error {
		_, err := w.Write(photos.Dandelions)
		return err
	}})
}

// save writes outputs into the folder and notes their names.
func (d *demo) save(inputs []string, jobs ...job) error {
	for i := range jobs {
		if jobs[i].name != "" {
			d.result.Files = append(d.result.Files, jobs[i].name)
			jobs[i].name = d.path(jobs[i].name)
		}
	}
	return d.writeOutputs(inputs, jobs...)
}

// calibrate does what 'curve' does, with all plots.
func (d *demo) calibrate(context.Context) error {
	o := curveOptions{ramps: []string{d.path(demoRamp)}, tablets: []string{d.path(demoTablet)}, aim: "lightness", process: demoProcess}
	o.setup = calibration.Setup{Printer: "an inkjet printer", Film: "inkjet film", InkColour: "neutral",
		Paper: "generic cotton paper", Lamp: "UV tubes", Coats: "1"}
	if err := o.exposure.Set(demoExposure); err != nil {
		return err
	}
	request, _, err := d.curveRequest(&o)
	if err != nil {
		return err
	}
	prints, _, err := d.readPrints(&o)
	if err != nil {
		return err
	}
	estimate, err := calibration.Fit(prints, &calibration.Options{Falling: request.Falling})
	if err != nil {
		return err
	}
	c, err := estimate.Build(request)
	if err != nil {
		return err
	}
	d.result.Curve = curveResult{File: demoCalibration, CurveSummary: estimate.Summary(c, len(request.Cautions)), Notices: []string{}}
	d.result.Caution = d.result.Curve.Cautions[0]
	expected, err := printFigure(c)
	if err != nil {
		return err
	}
	return d.save(o.inputs(), job{demoCalibration, textContent, c.Encode},
		plotJob(demoCharacteristic, characteristicFigure(estimate)), plotJob(demoUVDensity, uvDensityFigure(c)),
		plotJob(demoCurve, curveFigure(c)), plotJob(demoPrint, expected))
}

// expose does what 'negative' does.
func (d *demo) expose(ctx context.Context) error {
	o := negativeOptions{calibration: d.path(demoCalibration), out: d.path(demoNegative)}
	o.fit = "inside"
	c, err := d.readCalibration(o.calibration)
	if err != nil {
		return err
	}
	r, _, err := d.filmRecipe(&o, c)
	if err != nil {
		return err
	}
	d.result.Files = append(d.result.Files, demoNegative)
	d.result.Film, err = r.Make(ctx, batch.Task{In: d.path(demoPhoto), Out: o.out}, d.outputOptions(d.path(demoPhoto)))
	return err
}

// lay does what 'sheet' does, with marks and a check strip.
func (d *demo) lay(ctx context.Context) error {
	o := sheetOptions{film: "A4", gap: 5, marks: true, strip: true, calibration: d.path(demoCalibration)}
	pages, opts, _, err := d.layOut(&o, []string{d.path(demoNegative)})
	if err != nil {
		return err
	}
	return d.save([]string{d.path(demoNegative)}, pdfJob(ctx, demoSheet, pages, opts))
}

// show does what 'proof' does.
func (d *demo) show(ctx context.Context) error {
	c, src, err := d.reopen(demoPhoto)
	if err != nil {
		return err
	}
	defer src.Close()
	o := proofOptions{pixels: usualProofPX}
	o.fit = "inside"
	var p *proof.Proof
	if p, err = d.proofOf(src, demoPhoto, c, &o); err != nil {
		return err
	}
	defer p.Close()
	return d.save([]string{d.path(demoPhoto)}, job{demoProof, binaryContent, func(w io.Writer) error { return writeProof(ctx, w, p) }})
}

// compare prints the negative in the virtual darkroom and measures the print.
func (d *demo) compare(ctx context.Context) error {
	c, photo, err := d.reopen(demoPhoto)
	if err != nil {
		return err
	}
	defer photo.Close()
	light, err := batch.LuminanceOf(demoPhoto, photo.Header())
	if err != nil {
		return err
	}
	film, err := raster.Open(d.path(demoNegative))
	if err != nil {
		return err
	}
	defer film.Close()
	d.result.Virtual, err = examples.Compare(ctx, film, photo, light, c)
	return err
}

// reopen returns the calibration and one of the demo's pictures.
func (d *demo) reopen(picture string) (*calibration.Calibration, raster.Source, error) {
	c, err := d.readCalibration(d.path(demoCalibration))
	if err != nil {
		return nil, nil, err
	}
	src, err := raster.Open(d.path(picture))
	return c, src, err
}

// demoText says what was done, what the numbers mean and what to open.
func demoText(w io.Writer, r demoResult) error {
	at := func(name string) string { return filepath.Join(r.Folder, name) }
	c, f := r.Curve.CurveSummary, r.Film
	_, err := fmt.Fprintf(w, demoReport,
		r.Folder, at(demoChart+".tif"), r.Patches, at(demoScan), at(demoRamp), at(demoTablet),
		at(demoCalibration), optionalText(c.ExposureScale, 2), optionalText(c.InkRange, 2), reachWords(c), toneDoubt(c.MiddleSD),
		at(demoNegative), f.WidthPX, f.HeightPX, f.Depth, f.WidthMM, f.HeightMM,
		r.Virtual.Typical, r.Virtual.Largest,
		at(demoFound), at(demoProof), at(demoSheet), at(demoCharacteristic), at(demoUVDensity), at(demoCurve), at(demoPrint),
		handCommands(r), r.Caution)
	return err
}

const demoReport = `A first cyanotype, start to end, in %s. Print and scan of the chart are
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

Open:
  %s  what was read where on the scan
  %s  the print to expect; its hue is an estimate
  %s  the negative on A4 at exact size, with rulers and check strip
  %s, %s, %s,
  %s  what the program found out

The same by hand:
%s
%s
`

// handCommands are the commands that do what the demo did.
func handCommands(r demoResult) string {
	at := func(name string) string { return filepath.Join(r.Folder, name) }
	return fmt.Sprintf(`  actinic chart ramp -o chart
  actinic read %s --chart chart.chart.json --steps %s -o my.csv
  actinic curve --ramp my.csv --tablet my.tablet.csv --process %s --exposure %s -o my.calibration.json
  actinic negative %s --calibration my.calibration.json -o film.tif
  actinic sheet film.tif --marks --check-strip --calibration my.calibration.json -o film.pdf
  actinic proof %s --calibration my.calibration.json -o proof.png
`, at(demoScan), usualTablet, demoProcess, demoExposure, at(demoPhoto), at(demoPhoto))
}
