package batch

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// Recipe says how pictures become films. It may be used for several at once.
type Recipe struct {
	Curve    tone.Curve // an *tone.InkTable is not baked again
	Tone     tone.Options
	Compress raster.Compression // of TIFF
	// Format is TIFF, also when "", or PNG: of films in a folder.
	Format string
	// About is the description of every film; name and size are filled in.
	About Description
	Label bool // write the description's line on the film
	Cores int  // for each film; 0 for all

	rows func(pixels int64) // told of what is written; may be nil
}

// Film is a film that was made.
type Film struct {
	Input   string `json:"input"`
	Output  string `json:"output"`
	Skipped bool   `json:"skipped"` // it was there: see Recipe.Run
	FilmForm
}

// FilmForm is all of a Film but where files lie and what one run did.
type FilmForm struct {
	WidthPX  int      `json:"width_px"`
	HeightPX int      `json:"height_px"`
	WidthMM  float64  `json:"width_mm"`
	HeightMM float64  `json:"height_mm"`
	PPI      float64  `json:"ppi"`
	Depth    int      `json:"depth_bits"`
	Channels int      `json:"channels"`
	Mirrored bool     `json:"mirrored"`
	Notices  []string `json:"notices"`
}

// formOf is the form of a film with a header, as its description has the size.
func formOf(h raster.Header, about Description, noMirror bool, notices ...string) FilmForm {
	return FilmForm{WidthPX: h.Width, HeightPX: h.Height, WidthMM: about.WidthMM, HeightMM: about.HeightMM,
		PPI: h.PPIX, Depth: h.Bits, Channels: h.Channels, Mirrored: !noMirror, Notices: append([]string{}, notices...)}
}

// Make makes the film of one task, without a record. Its file is there when Make
// succeeds, and not at all when it fails: as it does with *fault.Error when the
// picture is changed or removed while it is read.
func (r *Recipe) Make(ctx context.Context, t Task, o output.Options) (Film, error) {
	s := r.survey(t, r.Cores)
	if s.err != nil {
		return Film{}, s.err
	}
	t.Record = false
	j := &job{recipe: r, task: t, survey: s, o: &RunOptions{Output: o}}
	film, err := j.do(ctx)
	return film, inContext(ctx, err)
}

// Save makes the film of a picture that is open already; name is the picture's
// file name. The ending of out says the format.
func (r *Recipe) Save(ctx context.Context, out string, src raster.Source, name string, o output.Options) (Film, error) {
	f, err := output.Create(out, o)
	if err != nil {
		return Film{}, err
	}
	defer f.Abort()
	film, err := r.Write(ctx, f, FormatOf(out), src, name)
	if err != nil {
		return Film{}, err
	}
	film.Output = out
	return film, f.Commit()
}

// options are those of one film: a PNG has 8 bits unless told otherwise.
func (r *Recipe) options(format, label string) tone.Options {
	o := r.Tone
	if format == PNG && o.Depth == 0 {
		o.Depth = 8
	}
	if r.Label {
		o.Label = label
	}
	return o
}

// Write makes the film of a picture, in format TIFF or PNG. name is the
// picture's file name. What it has written when it fails is not a whole file.
func (r *Recipe) Write(ctx context.Context, w io.WriteSeeker, format string, src raster.Source, name string) (Film, error) {
	picture := src.Header()
	lum, err := LuminanceOf(name, picture)
	if err != nil {
		return Film{}, err
	}
	about := r.About
	about.Name = filepath.Base(name)
	o := r.options(format, about.Line())
	film, err := tone.Negative(src, lum, r.Curve, o, r.Cores)
	if err != nil {
		return Film{}, fault.InFile(err, name)
	}
	defer film.Close()
	h := film.Header()
	about.WidthMM, about.HeightMM = sizeMM(h)
	h.Description = about.String()
	if err := r.pour(ctx, w, format, h, film); err != nil {
		return Film{}, inContext(ctx, err)
	}
	form := formOf(h, about, o.NoMirror, picture.Notices...)
	form.Notices = append(form.Notices, film.Notices()...)
	return Film{Input: name, FilmForm: form}, nil
}

// pour writes all rows of a film as a file.
func (r *Recipe) pour(ctx context.Context, w io.WriteSeeker, format string, h raster.Header, film *tone.Film) error {
	sink, err := r.sink(w, format, h)
	if err != nil {
		return err
	}
	defer sink.Abort()
	if err := film.Run(ctx, sink); err != nil {
		return err
	}
	return sink.Commit()
}

func (r *Recipe) sink(w io.WriteSeeker, format string, h raster.Header) (raster.StripSink, error) {
	s, err := r.fileSink(w, format, h)
	if r.rows == nil || err != nil {
		return s, err
	}
	return countedSink{s, int64(h.Width), r.rows}, nil
}

func (r *Recipe) fileSink(w io.WriteSeeker, format string, h raster.Header) (raster.StripSink, error) {
	if format == PNG {
		return raster.NewPNG(w, h, nil)
	}
	return raster.NewTIFF(w, h, &raster.TIFFOptions{Compression: r.Compress, Jobs: r.Cores})
}

// inContext prefers the interruption to what it caused.
func inContext(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil && !errors.Is(err, ctx.Err()) {
		return errors.Join(ctx.Err(), err)
	}
	return err
}

// sizeMM is the size of a film by its pixels and resolution.
func sizeMM(h raster.Header) (width, height float64) {
	return float64(h.Width) * 25.4 / h.PPIX, float64(h.Height) * 25.4 / h.PPIY
}
