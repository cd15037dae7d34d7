package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/sheet"
	"actinic/process/calibration"

	"github.com/spf13/cobra"
)

// sheetOptions are the flags of 'sheet'.
type sheetOptions struct {
	out         string
	film        sheetFilmFlag
	margin      float64
	marginGiven bool
	gap         float64
	order       bool
	rotate      string
	cutMarks    bool
	size        sizeFlag
	edge        edgeFlag
	marks       bool
	strip       bool
	calibration string
	process     string
	noRulers    bool
	noMirror    bool
	depth       int
	rosterOptions
	handoutOptions
}

// newSheet returns the command that places films on sheets.
func newSheet(a *app) *cobra.Command {
	o := sheetOptions{film: "A4"}
	cmd := &cobra.Command{
		Use:   "sheet IN... -o FILE.pdf",
		Short: "Finished negatives on sheets of film, as PDF",
		Long: `Places finished negatives on sheets of film and writes one PDF at exact size: each
with its label, rulers of 100 mm both ways, and a short caution. Print it at
100 %, without scaling and without colour management.

IN are films that 'actinic negative' made; they say themselves how large they
are, of which picture, process and calibration, and whether they are mirrored.
They are never mirrored, scaled to fit or cut here: what does not fit the film
is refused. Films from elsewhere need --size or a resolution of their own.

IN may also be the TIFF pages of a chart, with the chart's file (STEM.chart.json)
beside them. A chart goes on as it is, with nothing around it; one as large as
the film gets a sheet of its own, before the negatives.

They lie in rows, in the order given, where that takes no more film; else they
are packed, turned where it helps, so that all take as little film as a search
of a second or two finds. --order keeps to rows and order, with lines from edge
to edge to cut along with a guillotine. On a roll each page is as long as what
lies on it: --film roll:610mm, or with the longest page roll:610x1200mm.

Films of 16 bits stay so. Some programs that print PDF take 8 bits only: --depth
8 dithers them, so that no tone is lost.

Marks, edge and check strip may be added here or by 'actinic negative'; once is
enough. A film made with --label has its label twice. The check strip is made with the curve of --calibration.

With --json: {"output", "film", "pages", "negatives", "charts", "film_used",
"placed", "caution", "notices"}: film_used is the share of the film, 0 to 1,
under negatives and charts with what belongs to each; placed is of each IN {"name",
"page", "x_mm", "y_mm", "width_mm", "height_mm", "turned"}: the picture's top-left
corner, seen from above the film, and its size there.`,
		Example: `  actinic sheet boat-film.tif -o boat.pdf
  actinic sheet one.tif two.tif three.tif --film A3 --gap 5 --marks -o films.pdf
  actinic sheet ramp.tif class/*.tif --film roll:610mm --cut-marks -o class.pdf
  actinic sheet boat-film.tif --check-strip --calibration blue.calibration.json -o boat.pdf`,
		Args: func(cmd *cobra.Command, args []string) error { return o.checkArgs(cmd, args) },
		RunE: func(cmd *cobra.Command, args []string) error { return runSheet(cmd.Context(), a, cmd, args, o) },
	}
	flags := cmd.Flags()
	flags.StringVarP(&o.out, "output", "o", "", "write the sheets to `FILE.pdf`; - is standard output")
	flags.Var(&o.film, "film", "sheets of `FILM`: "+strings.Join(sheet.FilmNames(), ", ")+", a size as 200x250mm, or a roll's width as roll:610mm")
	flags.Float64Var(&o.margin, "margin", 3, "the printer leaves `MM` millimetres blank along each side")
	flags.Float64Var(&o.gap, "gap", 5, "leave `MM` millimetres between negatives")
	flags.BoolVar(&o.order, "order", false, "keep the order given, in rows, with lines to cut along")
	flags.StringVar(&o.rotate, "rotate", "yes", "`WHETHER` a negative may get a quarter turn: yes or no")
	flags.BoolVar(&o.cutMarks, "cut-marks", false, "strokes in the gaps that show where to cut")
	flags.Var(&o.size, "size", "print each at `SIZE`, as 203x254mm, instead of the size that it states")
	flags.Var(&o.edge, "edge", edgeUsage)
	flags.BoolVar(&o.marks, "marks", false, "corner and registration marks")
	flags.BoolVar(&o.strip, "check-strip", false, "a check strip of numbered patches; needs --calibration")
	flags.StringVar(&o.process, "process", "", "the caution is that of process `NAME`, where the films do not say it")
	flags.IntVar(&o.depth, "depth", 0, "`BITS` of a sample in the PDF: 16, or 8 dithered (default as each film)")
	flags.BoolVar(&o.noRulers, "no-rulers", false, "leave out the rulers")
	flags.BoolVar(&o.noMirror, "no-mirror", false, "films from elsewhere are not mirrored: they read right from their ink side")
	o.addRoster(cmd)
	o.addHandout(cmd)
	return cmd
}

// filmFlag is a flag that takes a size of film.
type filmFlag string

func (f *filmFlag) Set(text string) error {
	if _, err := sheet.ParseFilm(text); err != nil {
		return fmt.Errorf("expected %s, or a size as 200x250mm", strings.Join(sheet.FilmNames(), ", "))
	}
	*f = filmFlag(text)
	return nil
}
func (f *filmFlag) String() string { return string(*f) }
func (f *filmFlag) Type() string   { return "FILM" }

// sheetFilmFlag is a flag that takes a size of film or a roll.
type sheetFilmFlag string

func (f *sheetFilmFlag) Set(text string) error {
	if _, err := sheet.ParseFilmOrRoll(text); err != nil {
		return fmt.Errorf("expected %s, a size as 200x250mm, or a roll's width as roll:610mm", strings.Join(sheet.FilmNames(), ", "))
	}
	*f = sheetFilmFlag(text)
	return nil
}
func (f *sheetFilmFlag) String() string { return string(*f) }
func (f *sheetFilmFlag) Type() string   { return "FILM" }

func runSheet(ctx context.Context, a *app, cmd *cobra.Command, args []string, o sheetOptions) error {
	o.marginGiven = cmd.Flag("margin").Changed
	if err := o.check(cmd, args); err != nil {
		return err
	}
	if o.roster != "" {
		return a.sheetRoster(ctx, cmd, args, o)
	}
	pages, opts, _, err := a.layOut(&o, args)
	if err != nil {
		return err
	}
	inputs := args
	if o.calibration != "" {
		inputs = append(slices.Clone(args), o.calibration)
	}
	handed, err := a.sheetHandouts(ctx, &o, pages, opts)
	if err != nil {
		return err
	}
	if err := a.writeOutputs(inputs, pdfJob(ctx, o.out, pages, opts), handed.job()); err != nil {
		return err
	}
	return a.printSheets(&o, pages, opts, handed)
}

// layOut places films on pages; negatives is how many there are.
func (a *app) layOut(o *sheetOptions, args []string) (pages []sheet.Page, opts sheet.Options, negatives int, err error) {
	placing, process, err := a.placing(o)
	if err != nil {
		return nil, opts, 0, err
	}
	items, films, err := o.place(placing, args)
	if err != nil {
		return nil, opts, 0, err
	}
	if opts, err = a.sheetOptions(o, films, process); err != nil {
		return nil, opts, 0, err
	}
	pages, err = sheet.Layout(items, opts)
	return pages, opts, len(items), err
}

// pdfJob is the output of pages as PDF.
func pdfJob(ctx context.Context, name string, pages []sheet.Page, opts sheet.Options) job {
	return job{name, binaryContent, func(w io.Writer) error { return sheet.Write(ctx, w, pages, opts) }}
}

func (o *sheetOptions) check(cmd *cobra.Command, args []string) error {
	if err := o.checkRoster(); err != nil {
		return err
	}
	if err := o.checkHandout(cmd); err != nil {
		return err
	}
	switch {
	case o.out == "":
		return missingFlag(cmd, "output")
	case o.out != standardStream && !strings.EqualFold(filepath.Ext(o.out), ".pdf"):
		return &usageError{where: "--output", what: fmt.Sprintf("%q does not end in .pdf", o.out), hint: "sheets are a PDF file: name it FILE.pdf"}
	case slices.Contains(args, standardStream):
		return &usageError{where: "IN", what: "a film can't come from standard input: it is read twice", hint: "name the file"}
	case o.depth != 0 && o.depth != 8 && o.depth != 16:
		return &usageError{where: "--depth", what: fmt.Sprintf("%d bits, expected 8 or 16", o.depth), hint: "leave it out for what each film has"}
	case o.rotate != "yes" && o.rotate != "no":
		return &usageError{where: "--rotate", what: fmt.Sprintf("%q, expected yes or no", o.rotate), hint: "leave it out for yes"}
	case o.order && o.cutMarks:
		return &usageError{where: "--cut-marks", what: "--order draws lines to cut along already", hint: "leave one of the two out"}
	case o.strip && o.calibration == "" && o.roster == "":
		return &usageError{where: "--check-strip", what: "its patches are made with the curve of a calibration", hint: "add --calibration C.calibration.json"}
	}
	return nil
}

// placing gathers how films are placed, and the process they are for.
func (a *app) placing(o *sheetOptions) (*batch.Placing, string, error) {
	p := &batch.Placing{WidthMM: o.size.widthMM, HeightMM: o.size.heightMM, Marks: o.marks, Edge: o.sheetEdge()}
	process := o.process
	if process != "" {
		card, err := findProcess(process)
		if err != nil {
			return nil, "", err
		}
		p.Process, process = card.Name, card.Name
	}
	if o.calibration == "" {
		return p, process, nil
	}
	c, err := a.readCalibration(o.calibration)
	if err != nil {
		return nil, "", err
	}
	if process == "" {
		p.Process, process = c.Setup.Process, c.Setup.Process
	}
	return p, process, o.addCalibration(p, c)
}

// addCalibration adds what only a calibration knows: its ink colour and strip.
func (o *sheetOptions) addCalibration(p *batch.Placing, c *calibration.Calibration) error {
	k, err := c.InkCurve()
	if err != nil {
		return err
	}
	p.Calibration = baseOf(o.calibration)
	p.Edge.Device = k.Device(100)
	if o.strip {
		p.Strip = batch.StripOf(k)
	}
	return nil
}

// sheetEdge is the edge that the flag asks for; without a calibration the full
// ink is black.
func (o *sheetOptions) sheetEdge() sheet.Edge {
	switch o.edge.kind {
	case "keyline":
		return sheet.Edge{Kind: sheet.EdgeKeyline, WidthMM: o.edge.widthMM}
	case "opaque":
		return sheet.Edge{Kind: sheet.EdgeOpaque, WidthMM: o.edge.widthMM}
	}
	return sheet.Edge{}
}
