package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"actinic/examples"
	"actinic/negative/batch"
	"actinic/negative/proof"
	"actinic/negative/raster"
	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/testdata/photos"

	"github.com/spf13/cobra"
)

// newDemo returns the command that shows the main job.
func newDemo(a *app) *cobra.Command {
	var elsewhere reportFlag
	cmd := &cobra.Command{
		Use:   "demo DIR",
		Short: "The main job from start to end, as an example",
		Long: `Runs the main job on an invented first cyanotype and leaves all of it in the
folder DIR: a chart on film, a scan of its print, the readings, the calibration,
plots, a photograph, its negative as 16-bit TIFF and as PDF at exact size, and a
proof of the print. It needs nothing else. A virtual darkroom stands for
printer, lamp, paper and scanner: the print and its scan are simulated. The
negative is printed there, too, and it says how far the tones of that print lie
from their aim.

Then come two charts more, printed, scanned and read in the same way: a second
one, with patches where the first left doubt, and the calibration of both
prints; and one of ink colours, with what each of them stops, the best of them,
and the ink blend. report.html tells all of it in one page to read.

A folder that is not empty is left alone without --force.

With --json: {"folder", "files", "patches", "calibration", "negative",
"virtual_print", "second_chart" ("patches", "plan", "calibration"),
"ink_colours", "report", "caution"}. "plan" is what 'chart next' tells,
"ink_colours" what 'opacity' tells and "neutral", the gradation of the neutral
ramp.`,
		Example: "  actinic demo out",
		Args:    exactly("DIR"),
		RunE:    func(cmd *cobra.Command, args []string) error { return runDemo(cmd.Context(), a, args[0], elsewhere) },
	}
	cmd.Flags().Var(&elsewhere, "report", "write the report into `FILE`, .html, instead of report.html in DIR")
	return cmd
}

// The files of the demo, beside those of its prints.
const (
	demoPhoto          = "dandelions.jpg"
	demoCalibration    = "first-cyanotype.calibration.json"
	demoCharacteristic = "characteristic.png"
	demoUVDensity      = "uv-density.png"
	demoCurve          = "curve.png"
	demoTones          = "expected-print.png"
	demoNegative       = "negative.tif"
	demoSheet          = "negative.pdf"
	demoProof          = "proof.png"
	demoBoth           = "both-prints.calibration.json"
	demoInks           = "first-cyanotype.inks.json"
	demoRanked         = "ink-colours.png"
	demoBlend          = "ink-blend.png"
	demoReportFile     = "report.html"

	demoProcess  = "cyanotype_classic"
	demoExposure = "8m"
)

// demo is one run of the demo.
type demo struct {
	*app
	folder string
	result demoResult
	first  *demoFit          // of the first print
	inks   *calibration.Inks // of the chart of colours

	elsewhere reportFlag // where the report goes; "" is the folder
}

// demoResult is what 'demo' prints with --json.
type demoResult struct {
	Folder  string             `json:"folder"`
	Files   []string           `json:"files"` // in the order of the job
	Patches int                `json:"patches"`
	Curve   curveResult        `json:"calibration"`
	Film    batch.Film         `json:"negative"`
	Virtual examples.ToneError `json:"virtual_print"`
	Second  demoSecondResult   `json:"second_chart"`
	Inks    demoInksResult     `json:"ink_colours"`
	Report  string             `json:"report"` // its file
	Caution string             `json:"caution"`
}

func (d *demo) path(name string) string { return filepath.Join(d.folder, name) }

func runDemo(ctx context.Context, a *app, folder string, elsewhere reportFlag) error {
	if err := a.tryReport(elsewhere); err != nil {
		return err
	}
	if err := a.demoFolder(folder); err != nil {
		return err
	}
	// What the steps tell in passing is told again at the end, in order.
	silent := *a
	silent.global.quiet = true
	d := demo{app: &silent, folder: folder, elsewhere: elsewhere, result: demoResult{Folder: folder}}
	for _, step := range []func(context.Context) error{d.bring, d.draw, d.calibrate, d.expose, d.lay, d.show, d.compare, d.second, d.inkColours, d.report} {
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

// demoSetup is what the demo notes of its darkroom.
func demoSetup() calibration.Setup {
	return calibration.Setup{Printer: "an inkjet printer with light inks", Film: "inkjet film", Paper: "generic cotton paper", Lamp: "UV tubes", Coats: "1"}
}

// demoFit is a calibration of some prints of the demo.
type demoFit struct {
	inputs      []string
	estimate    *calibration.Estimate
	calibration *calibration.Calibration
	result      curveResult
}

// fit does what 'curve' does with some prints.
func (d *demo) fit(name string, prints ...demoPrint) (*demoFit, error) {
	o := curveOptions{aim: "lightness", process: demoProcess, setup: demoSetup()}
	o.setup.InkColour = "neutral"
	for _, p := range prints {
		o.ramps, o.tablets = append(o.ramps, d.path(p.readings)), append(o.tablets, d.path(p.tablet))
	}
	if err := o.exposure.Set(demoExposure); err != nil {
		return nil, err
	}
	request, _, err := d.curveRequest(&o)
	if err != nil {
		return nil, err
	}
	read, _, err := d.readPrints(&o)
	if err != nil {
		return nil, err
	}
	f := &demoFit{inputs: o.inputs()}
	if f.estimate, err = calibration.Fit(read, &calibration.Options{Falling: request.Falling}); err != nil {
		return nil, err
	}
	if f.calibration, err = f.estimate.Build(request); err != nil {
		return nil, err
	}
	f.result = curveResult{File: name, CurveSummary: f.estimate.Summary(f.calibration, len(request.Cautions)), Notices: []string{}}
	return f, nil
}

// calibrate makes the calibration of the first print, with all plots.
func (d *demo) calibrate(context.Context) error {
	f, err := d.fit(demoCalibration, demoFirst)
	if err != nil {
		return err
	}
	d.first, d.result.Curve, d.result.Caution = f, f.result, f.result.Cautions[0]
	expected, err := printFigure(f.calibration)
	if err != nil {
		return err
	}
	return d.save(f.inputs, job{demoCalibration, textContent, f.calibration.Encode},
		plotJob(demoCharacteristic, characteristicFigure(f.estimate)), plotJob(demoUVDensity, uvDensityFigure(f.calibration)),
		plotJob(demoCurve, curveFigure(f.calibration)), plotJob(demoTones, expected))
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
