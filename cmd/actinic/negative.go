package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/calibration"
	"actinic/process/fault"

	"github.com/spf13/cobra"
)

// negativeOptions are the flags of 'negative'.
type negativeOptions struct {
	pictureOptions
	calibration string
	out         string
	noMirror    bool
	mirrorSaid  bool // --no-mirror was given, either way
	depth       int
	compress    compressFlag
	edge        edgeFlag
	marks       bool
	strip       bool
	label       bool
}

const negativeLong = `Makes negatives for contact printing with the curve of a calibration: pictures
become tones in linear light, tones film ink, film ink printer values, at 16
bits all the way. IN is a TIFF, PNG or JPEG file, 8 or 16 bits, grey or colour;
its profile and orientation are honoured. A folder means every picture in it.

OUT is a file that ends in .tif (16 bits unless --depth says otherwise) or .png
(8 bits, dithered); for several pictures it is a folder, made when missing, and
gets one .tif for each. '-o -' writes one TIFF to standard output.

Without --size the film keeps the pixel grid of the picture, and nothing is
added around it unless a flag asks. The film is mirrored left to right, because
it lies ink side down on the paper; cards of processes that want it otherwise
(see 'actinic process show') are followed.

Send the film to the printer without colour management, at 100 %, the same way
that the chart went.

With --json: one object a film and a summary last; one object for one film.`

// newNegative returns the command that makes films.
func newNegative(a *app) *cobra.Command {
	var o negativeOptions
	cmd := &cobra.Command{
		Use:   "negative IN... --calibration C -o OUT",
		Short: "Negatives of pictures",
		Long:  negativeLong,
		Example: `  actinic negative boat.tif --calibration blue.calibration.json -o boat-film.tif
  actinic negative boat.jpg --calibration blue.calibration.json --size 8x10in --edge opaque:10 --marks --label -o film.tif
  actinic negative pictures --calibration blue.calibration.json -o films/`,
		Args: atLeastOne("IN"),
		RunE: func(cmd *cobra.Command, args []string) error { return runNegative(cmd.Context(), a, cmd, args, o) },
	}
	flags := cmd.Flags()
	flags.StringVar(&o.calibration, "calibration", "", "the calibration of the setup, file `C`")
	flags.StringVarP(&o.out, "output", "o", "", "write the negative to `OUT`: a .tif or .png file, or a folder")
	o.add(flags)
	flags.BoolVar(&o.noMirror, "no-mirror", false, "do not mirror the film; --no-mirror=false mirrors it whatever the process card says")
	flags.IntVar(&o.depth, "depth", 0, "`BITS` of a sample: 16, or 8 dithered (default as the chart; 16, but 8 for .png)")
	flags.Var(&o.compress, "compress", "`PACKING` of a TIFF: deflate or none (default deflate)")
	flags.Var(&o.edge, "edge", edgeUsage)
	flags.BoolVar(&o.marks, "marks", false, "registration marks at the corners")
	flags.BoolVar(&o.strip, "check-strip", false, "a check strip of numbered patches: "+tone.StripHint)
	flags.BoolVar(&o.label, "label", false, "a line with name, process, date and calibration")
	return cmd
}

// compressFlag says how a TIFF is packed.
type compressFlag string

var compressions = map[compressFlag]raster.Compression{"": raster.Deflate, "deflate": raster.Deflate, "none": raster.NoCompression}

func (f *compressFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{"deflate", "none"}}.set(text)
}
func (f *compressFlag) String() string { return string(*f) }
func (f *compressFlag) Type() string   { return "PACKING" }

func runNegative(ctx context.Context, a *app, cmd *cobra.Command, args []string, o negativeOptions) error {
	o.mirrorSaid = cmd.Flag("no-mirror").Changed
	if err := o.check(cmd, args); err != nil {
		return err
	}
	c, err := a.readCalibration(o.calibration)
	if err != nil {
		return err
	}
	recipe, notices, err := a.filmRecipe(&o, c)
	if err != nil {
		return err
	}
	for _, n := range notices {
		a.notice("%s", n)
	}
	if o.out == standardStream {
		return a.negativeToStream(ctx, recipe, args[0])
	}
	if args[0] == standardStream {
		return a.negativeFromStream(ctx, recipe, &o, notices)
	}
	return a.negatives(ctx, recipe, args, &o, notices)
}

// check refuses flags of 'negative' that do not go together.
func (o *negativeOptions) check(cmd *cobra.Command, args []string) error {
	png := strings.HasSuffix(strings.ToLower(o.out), ".png")
	var stdin int
	for _, in := range append([]string{o.calibration}, args...) {
		if in == standardStream {
			stdin++
		}
	}
	switch {
	case o.calibration == "":
		return missingFlag(cmd, "calibration")
	case o.out == "":
		return missingFlag(cmd, "output")
	case o.depth != 0 && o.depth != 8 && o.depth != 16:
		return &usageError{where: "--depth", what: fmt.Sprintf("%d bits, expected 8 or 16", o.depth), hint: "leave it out for 16"}
	case png && o.depth == 16:
		return &usageError{where: "--depth", what: "a PNG film has 8 bits", hint: "write a .tif for 16 bits"}
	case png && o.compress != "":
		return &usageError{where: "--compress", what: "it is for TIFF", hint: "leave it out, or write a .tif"}
	case len(args) > 1 && (o.out == standardStream || stdin > 0), stdin > 1:
		return &usageError{where: place(cmd), what: "standard input and output take one picture", hint: "name files and a folder"}
	}
	return o.pictureOptions.check()
}

// filmRecipe gathers how films are made, and what the user should know of it.
func (a *app) filmRecipe(o *negativeOptions, c *calibration.Calibration) (*batch.Recipe, []string, error) {
	date, err := a.made()
	if err != nil {
		return nil, nil, err
	}
	curve, err := bakeCurve(c)
	if err != nil {
		return nil, nil, fault.InFile(err, inputName(o.calibration))
	}
	r := &batch.Recipe{Curve: curve, Tone: o.tone(), Compress: compressions[o.compress], Label: o.label}
	noMirror, notices := unmirrored(c.Setup.Process)
	if o.mirrorSaid {
		noMirror, notices = o.noMirror, nil
	}
	r.Tone.NoMirror = noMirror
	r.Tone.Edge, r.Tone.EdgeMM = filmEdges[o.edge.kind], o.edge.widthMM
	r.Tone.Marks, r.Tone.CheckStrip = o.marks, o.strip
	r.Tone.Depth = o.depth
	notices = append(notices, likeChart(&r.Tone, o, c.Setup.Printing)...)
	r.About = batch.Description{Process: c.Setup.Process, Date: date.Format("2006-01-02"),
		Calibration: baseOf(o.calibration), NotMirrored: noMirror}
	return r, notices, nil
}

// negatives makes the films of files and folders.
func (a *app) negatives(ctx context.Context, r *batch.Recipe, args []string, o *negativeOptions, notices []string) error {
	tasks, err := batch.Plan(args, o.out)
	if err != nil {
		return err
	}
	if err := batch.MakeFolder(tasks, o.out); err != nil {
		return err
	}
	inputs := []string{o.calibration}
	for _, t := range tasks {
		inputs = append(inputs, t.In)
	}
	b := filmReport{app: a, several: len(tasks) > 1, notices: notices}
	r.Run(ctx, tasks, a.global.jobs, a.outputOptions(inputs...), b.add)
	return b.finish()
}

// negativeFromStream makes the film of the picture on standard input.
func (a *app) negativeFromStream(ctx context.Context, r *batch.Recipe, o *negativeOptions, notices []string) error {
	src, err := a.openPicture(standardStream)
	if err != nil {
		return err
	}
	defer src.Close()
	if batch.FormatOf(o.out) == "" {
		return &usageError{where: "--output", what: fmt.Sprintf("%q does not end in .tif or .png", o.out), hint: "name the file"}
	}
	b := filmReport{app: a, notices: notices}
	film, err := r.Save(ctx, o.out, src, inputName(standardStream), a.outputOptions(o.calibration))
	b.add(batch.Outcome{Film: film, Err: err})
	return b.finish()
}

// negativeToStream writes one film as TIFF to standard output, by way of a
// temporary file: the directory of a TIFF comes last and is pointed to first.
func (a *app) negativeToStream(ctx context.Context, r *batch.Recipe, in string) error {
	to, err := a.openOutput(standardStream, binaryContent)
	if err != nil {
		return err
	}
	defer to.Abort()
	src, err := a.openPicture(in)
	if err != nil {
		return err
	}
	defer src.Close()
	f, err := os.CreateTemp("", "actinic-*.tif")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	film, err := r.Write(ctx, f, batch.TIFF, src, inputName(in))
	if err != nil {
		return err
	}
	for _, n := range film.Notices {
		a.notice("%s", n)
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if _, err := io.Copy(to, f); err != nil {
		return err
	}
	return to.Commit()
}
