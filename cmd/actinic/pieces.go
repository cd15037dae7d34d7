package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"actinic/negative/batch"
	"actinic/process/fault"

	"github.com/spf13/cobra"
)

// pieces makes one film on which a picture, or parts of it, are repeated: for
// several exposures, calibrations, or places.
func (a *app) pieces(ctx context.Context, cmd *cobra.Command, args []string, o *negativeOptions) error {
	if err := o.checkPieces(cmd, args); err != nil {
		return err
	}
	p, notices, err := a.piecesOf(o)
	if err != nil {
		return err
	}
	p.Name = inputName(args[0])
	if p.Open, err = a.reopener(args[0]); err != nil {
		return err
	}
	if o.part.best != nil {
		if err := p.AddBest(ctx, o.part.best.widthMM, o.part.best.heightMM); err != nil {
			return err
		}
	}
	for _, n := range notices {
		a.notice("%s", n)
	}
	film, err := p.Save(ctx, o.out, a.outputOptions(append(slices.Clone(o.calibrations), args[0])...))
	if err != nil {
		return err
	}
	for _, n := range film.Notices {
		a.notice("%s: %s", film.Input, n)
	}
	film.Notices = append(append([]string{}, notices...), film.Notices...)
	return a.print(film, func(w io.Writer) error { return piecesText(w, p, film) })
}

// checkPieces refuses what pieces can't be made of.
func (o *negativeOptions) checkPieces(cmd *cobra.Command, args []string) error {
	switch {
	case o.copies < 1 || o.copies > batch.MostPieces:
		return &usageError{where: "--copies", what: fmt.Sprintf("%d is not between 1 and %d", o.copies, batch.MostPieces), hint: "one piece for each exposure"}
	case len(args) > 1 || isFolder(args[0]):
		return &usageError{where: place(cmd), what: "pieces side by side are of one picture", hint: "name one picture, or leave out --copies and give one --calibration and one --part X,Y,W,H"}
	case o.out == standardStream:
		return &usageError{where: "--output", what: "a film of pieces goes to a file", hint: "write -o FILE.tif"}
	}
	return nil
}

// piecesOf gathers the curves and what the pieces have in common, and what the
// user should know of it.
func (a *app) piecesOf(o *negativeOptions) (*batch.Pieces, []string, error) {
	p := &batch.Pieces{Parts: o.part.parts, Copies: o.copies, Memory: int64(o.memory)}
	var notices, processes, names []string
	each := *o // the first calibration's form is the film's
	for i, name := range o.calibrations {
		c, err := a.readCalibration(name)
		if err != nil {
			return nil, nil, err
		}
		each.calibration = name
		r, said, err := a.filmRecipe(&each, c)
		if err != nil {
			return nil, nil, err
		}
		if i == 0 {
			p.Recipe = *r
			each.depth, each.ppi = r.Tone.Depth, r.Tone.PPI
		} else if r.Tone.NoMirror != p.Recipe.Tone.NoMirror {
			return nil, nil, mirrorFault(inputName(name), inputName(o.calibrations[0]))
		}
		p.Curves = append(p.Curves, batch.PieceCurve{Curve: r.Curve, Name: calibrationName(name)})
		notices = addNew(notices, said...)
		processes, names = addNew(processes, r.About.Process), addNew(names, calibrationName(name))
	}
	p.Recipe.About.Process = strings.Join(processes, ", ")
	p.Recipe.About.Calibration = strings.Join(names, ", ")
	return p, notices, nil
}

// addNew appends those of more that are neither empty nor there already.
func addNew(all []string, more ...string) []string {
	for _, m := range more {
		if m != "" && !slices.Contains(all, m) {
			all = append(all, m)
		}
	}
	return all
}

// calibrationName is what is written under a piece.
func calibrationName(file string) string {
	return strings.TrimSuffix(baseOf(file), ".calibration.json")
}

func mirrorFault(name, first string) error {
	return fault.New(name, "", "the process cards want its film another way round than that of "+first+": one of them is mirrored, and a film has one ink side",
		"make two films, or say --no-mirror or --no-mirror=false for both")
}
