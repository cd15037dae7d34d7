package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"os"

	"actinic/negative/batch"
)

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
	b := filmReport{app: a, pictures: 1, notices: notices}
	film, err := r.Save(ctx, o.out, src, inputName(standardStream), a.outputOptions(o.calibration))
	b.add(batch.Outcome{Film: film, Err: err})
	return b.finish(ctx)
}

// negativeToStream writes one film to standard output, by way of a temporary
// file: the directory of a TIFF comes last and is pointed to first.
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
	film, err := r.Write(ctx, f, cmp.Or(r.Format, batch.TIFF), src, inputName(in))
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
