package main

import (
	"context"
	"fmt"
	"slices"

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
	calibrations []string
	calibration  string // the first of them
	copies       int
	out          string
	format       formatFlag
	memory       memoryFlag
	noMirror     bool
	mirrorSaid   bool // --no-mirror was given, either way
	depth        int
	compress     compressFlag
	edge         edgeFlag
	marks        bool
	strip        bool
	label        bool
}

const negativeLong = `Makes negatives for contact printing with the curve of a calibration: pictures
become tones in linear light, tones film ink, film ink printer values, at 16
bits all the way. IN is a TIFF, PNG or JPEG file; its profile and orientation
are honoured. A folder means every picture in it and in the folders in it.

OUT is a file that ends in .tif (16 bits) or .png (8 bits, dithered), unless
--depth says otherwise; for a folder or several pictures it is a folder, made
when missing, with the same folders in it. '-o -' writes one TIFF to standard
output.

Without --size the film keeps the pixel grid of the picture, and nothing is
added around it unless a flag asks. The film is mirrored left to right, because
it lies ink side down on the paper; cards of processes that want it otherwise
(see 'actinic process show') are followed.

A folder may take long. Interrupt it whenever you like: the same command again
goes on where it stopped. A record of each film lies in the hidden folder
.actinic beside it, and a picture is skipped whose film is there and was made
from the same picture, with the same curve and flags; --force makes all of them
anew. Pictures that fail are named, the others are made, and the exit code is 3.
--part 2/5 makes the second of five shares of the folder, the same share
whenever and wherever it is run, so that several machines can have one each.
--memory bounds the memory that pictures in work take together: a picture that
needs more says how much.

--copies, a second --calibration or a second --part put a piece of one picture
on one film several times, to try exposures, calibrations or places.

Send the film to the printer without colour management, at 100 %, the same way
that the chart went.

With --json: one object a film, {"input", "output", "skipped", "width_px",
"height_px", "width_mm", "height_mm", "ppi", "depth_bits", "channels",
"mirrored", "notices"}, and for a folder or several pictures a last one,
{"done", "skipped", "failed", "pixels"}, pixels those of the films done. A film
of several pieces has "pieces", too: {"number", "calibration", "part", "x_mm",
"y_mm", "width_mm", "height_mm"}.`

// newNegative returns the command that makes films.
func newNegative(a *app) *cobra.Command {
	var o negativeOptions
	cmd := &cobra.Command{
		Use:   "negative IN... --calibration C -o OUT",
		Short: "Negatives of pictures",
		Long:  negativeLong,
		Example: `  actinic negative boat.tif --calibration blue.calibration.json -o boat-film.tif
  actinic negative boat.jpg --calibration blue.calibration.json --size 8x10in --edge opaque:10 --marks --label -o film.tif
  actinic negative pictures --calibration blue.calibration.json -o films
  actinic negative pictures --calibration blue.calibration.json -o films --part 2/5 --memory 2GiB`,
		Args: atLeastOne("IN"),
		RunE: func(cmd *cobra.Command, args []string) error { return runNegative(cmd.Context(), a, cmd, args, o) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&o.calibrations, "calibration", nil, "the calibration of the setup, file `C`; several: a piece of the film for each")
	flags.StringVarP(&o.out, "output", "o", "", "write the negative to `OUT`: a .tif or .png file, or a folder")
	flags.Var(&o.format, "format", "`FORMAT` of the films in a folder: tiff or png (default tiff)")
	flags.Var(&o.memory, "memory", memoryUsage)
	o.add(flags)
	flags.IntVar(&o.copies, "copies", 1, "repeat the picture, or its part, `N` times on one film, numbered")
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

// formatFlag is the format of the films in a folder.
type formatFlag string

func (f *formatFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{batch.TIFF, batch.PNG}}.set(text)
}
func (f *formatFlag) String() string { return string(*f) }
func (f *formatFlag) Type() string   { return "FORMAT" }

func runNegative(ctx context.Context, a *app, cmd *cobra.Command, args []string, o negativeOptions) error {
	o.mirrorSaid = cmd.Flag("no-mirror").Changed
	if len(o.calibrations) > 0 {
		o.calibration = o.calibrations[0]
	}
	if err := o.check(cmd, args); err != nil {
		return err
	}
	o.memory.bound()
	if o.inPieces() {
		return a.pieces(ctx, cmd, args, &o)
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
	png := o.fileForm() == batch.PNG
	var stdin int
	for _, in := range append(slices.Clone(o.calibrations), args...) {
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
	case png && o.compress != "":
		return &usageError{where: "--compress", what: "it is for TIFF", hint: "leave it out, or write a .tif"}
	case len(args) > 1 && (o.out == standardStream || stdin > 0), stdin > 1:
		return &usageError{where: place(cmd), what: "standard input and output take one picture", hint: "name files and a folder"}
	}
	if err := o.part.checkShare(args); err != nil {
		return err
	}
	if err := o.checkFormat(); err != nil {
		return err
	}
	return o.pictureOptions.check()
}

// checkFormat refuses a --format that the name of the film belies.
func (o *negativeOptions) checkFormat() error {
	if named := batch.FormatOf(o.out); o.format == "" || named == "" || isFolder(o.out) || string(o.format) == named {
		return nil
	}
	return &usageError{where: "--format", what: fmt.Sprintf("%s, and the film is to be called %s", o.format, o.out),
		hint: "leave it out: the ending of a film's name says its format"}
}

// inPieces reports whether one film is to show several pieces of a picture.
func (o *negativeOptions) inPieces() bool {
	return o.copies != 1 || len(o.calibrations) > 1 || o.part.count() > 1 || o.part.best != nil
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
	r := &batch.Recipe{Curve: curve, Tone: o.tone(), Compress: compressions[o.compress], Format: string(o.format), Label: o.label}
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
