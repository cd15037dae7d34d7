package main

import (
	"context"
	"fmt"
	"io"

	"actinic/negative/batch"
	"actinic/negative/proof"
	"actinic/negative/raster"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/fault"

	"github.com/spf13/cobra"
)

// proofOptions are the flags of 'proof'.
type proofOptions struct {
	pictureOptions
	calibration string
	out         string
	film        bool
	pixels      int
}

// usualProofPX is the longer side of a proof: it fills most screens.
const usualProofPX = 1600

// newProof returns the command that shows the print to expect.
func newProof(a *app) *cobra.Command {
	var o proofOptions
	cmd := &cobra.Command{
		Use:   "proof IN --calibration C -o OUT.png",
		Short: "The print to expect",
		Long: `Shows the print to expect of a picture: what the negative would be, taken
through the calibration to the tones of the print, as an sRGB picture for the
screen. The tones are the calibration's. The hue is the process's own, and an
estimate.

With --film, IN is a finished film of 16 bits instead of a picture.

With --json: {"input", "output", "width_px", "height_px", "note", "notices"}.`,
		Example: `  actinic proof boat.tif --calibration blue.calibration.json -o boat-proof.png
  actinic proof boat-film.tif --film --calibration blue.calibration.json -o boat-proof.png`,
		Args: exactly("IN"),
		RunE: func(cmd *cobra.Command, args []string) error { return runProof(cmd.Context(), a, cmd, args[0], o) },
	}
	flags := cmd.Flags()
	flags.StringVar(&o.calibration, "calibration", "", "the calibration of the setup, file `C`")
	flags.StringVarP(&o.out, "output", "o", "", "write the proof to `OUT.png`; - is standard output")
	flags.BoolVar(&o.film, "film", false, "IN is a finished film, not a picture")
	flags.IntVar(&o.pixels, "pixels", usualProofPX, "longer side of the proof, in `PIXELS`; 0 keeps those of the film")
	o.add(flags)
	flags.Lookup("part").Usage = partOfPrintUsage
	return cmd
}

// proofed is what 'proof' prints with --json.
type proofed struct {
	Input    string   `json:"input"`
	Output   string   `json:"output"`
	WidthPX  int      `json:"width_px"`
	HeightPX int      `json:"height_px"`
	Note     string   `json:"note"`
	Notices  []string `json:"notices"`
}

func runProof(ctx context.Context, a *app, cmd *cobra.Command, in string, o proofOptions) error {
	if err := o.check(cmd, in); err != nil {
		return err
	}
	c, err := a.readCalibration(o.calibration)
	if err != nil {
		return err
	}
	src, err := a.openPicture(in)
	if err != nil {
		return err
	}
	defer src.Close()
	if err := a.findBest(ctx, src, inputName(in), &o); err != nil {
		return err
	}
	p, err := a.proofOf(src, inputName(in), c, &o)
	if err != nil {
		return fault.InFile(err, inputName(in))
	}
	defer p.Close()
	err = a.writeOutput(o.out, binaryContent, []string{in, o.calibration}, func(w io.Writer) error { return writeProof(ctx, w, p) })
	if err != nil || o.out == standardStream {
		return err
	}
	h := p.Header()
	result := proofed{in, o.out, h.Width, h.Height, p.Note, append([]string{}, p.Notices()...)}
	return a.print(result, func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "%s: %d x %d pixels. %s\n", o.out, h.Width, h.Height, p.Note)
		return err
	})
}

func (o *proofOptions) check(cmd *cobra.Command, in string) error {
	switch {
	case o.calibration == "":
		return missingFlag(cmd, "calibration")
	case o.out == "":
		return missingFlag(cmd, "output")
	case o.out != standardStream && batch.FormatOf(o.out) != batch.PNG:
		return &usageError{where: "--output", what: fmt.Sprintf("%q does not end in .png", o.out), hint: "a proof is a PNG file: name it OUT.png"}
	case in == standardStream && o.calibration == standardStream:
		return &usageError{where: place(cmd), what: "standard input is named twice", hint: "name a file for one of them"}
	case o.pixels < 0:
		return &usageError{where: "--pixels", what: fmt.Sprintf("%d is less than 0", o.pixels), hint: "leave it out for 1600"}
	}
	return o.checkFilm(cmd)
}

// checkFilm refuses flags for pictures beside a finished film.
func (o *proofOptions) checkFilm(cmd *cobra.Command) error {
	for _, name := range []string{"size", "ppi", "fit", "rotate", "part", "input-negative", "positive"} {
		if o.film && cmd.Flag(name).Changed {
			return &usageError{where: "--" + name, what: "a finished film is as it is", hint: "leave it out with --film"}
		}
	}
	if o.part.count() > 1 || o.part.share != (batch.Share{}) {
		return &usageError{where: "--part", what: "a proof shows one picture, or one part of it", hint: "give one --part X,Y,W,H"}
	}
	return o.pictureOptions.check()
}

// proofOf plans the proof of a picture or of a finished film.
func (a *app) proofOf(src raster.Source, name string, c *calibration.Calibration, o *proofOptions) (*proof.Proof, error) {
	k, err := c.InkCurve()
	if err != nil {
		return nil, err
	}
	how := proof.Options{LongestPX: o.pixels, Hue: hueOf(c), Jobs: a.global.jobs}
	if o.film {
		about, known := batch.ParseDescription(src.Header().Description)
		if !known {
			a.notice("%s does not say whether it is mirrored: taken as mirrored", name)
		}
		return proof.FromFilm(src, k, !about.NotMirrored, how)
	}
	lum, err := batch.LuminanceOf(name, src.Header())
	if err != nil {
		return nil, err
	}
	return proof.FromPicture(src, lum, k, o.tone(), how)
}

// findBest puts the part that --part best asks for among the parts.
func (a *app) findBest(ctx context.Context, src raster.Source, name string, o *proofOptions) error {
	best := o.part.best
	if best == nil {
		return nil
	}
	part, err := batch.BestPart(ctx, src, name, o.tone(), best.widthMM, best.heightMM, a.global.jobs)
	if err != nil {
		return err
	}
	a.notice("%s: the part is %s", name, partText(part))
	o.part.parts = append(o.part.parts, part)
	return src.Restart()
}

// hueOf returns the hue of the process that the calibration names; neutral on
// warm paper where it names none that has a card.
func hueOf(c *calibration.Calibration) proof.Hue {
	paper, black := density.Lightness(c.Aim.WhiteLstar), density.Lightness(c.Aim.BlackLstar)
	card, known := cardOf(c.Setup.Process)
	if !known {
		return proof.Estimate("", 0, 0, paper, black)
	}
	_, along, across := card.HueLab.Middle()
	return proof.Estimate(card.Name, along, across, paper, black)
}

// writeProof writes all rows of a proof as PNG.
func writeProof(ctx context.Context, w io.Writer, p *proof.Proof) error {
	sink, err := raster.NewPNG(w, p.Header(), &raster.PNGOptions{SRGB: true})
	if err != nil {
		return err
	}
	defer sink.Abort()
	if err := p.Run(ctx, sink); err != nil {
		return err
	}
	return sink.Commit()
}
