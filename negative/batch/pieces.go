package batch

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// Pieces says how one picture is repeated on one film: at full size, for
// several exposures, by several curves, in several places. There is a piece for
// each curve, each part and each copy, numbered in that order from 1, left to
// right as the finished print shows them.
type Pieces struct {
	// Open opens the picture again: a film reads one picture several times over.
	Open func() (raster.Source, error)
	Name string // of the picture's file
	// Curves are what the pieces are made with; at least one.
	Curves []PieceCurve
	Parts  []tone.Part // of the print; none for the whole print
	Copies int         // of each; at least 1
	// Recipe is what the pieces have in common. Its Curve and its Tone.Part are not
	// used; edge, marks and check strip are added to each piece, the label once.
	Recipe Recipe
	// Memory bounds what making the film takes, in bytes; 0 for DefaultMemory.
	Memory int64
}

// PieceCurve is a curve and what is written under the pieces made with it.
type PieceCurve struct {
	Curve tone.Curve
	Name  string
}

// Piece is one of the pieces, where the finished print shows it: from the top
// left of the film, with the edge and the marks that it has.
type Piece struct {
	Number      int     `json:"number"`
	Calibration string  `json:"calibration"`
	Part        *Place  `json:"part"` // null for the whole print
	XMM         float64 `json:"x_mm"`
	YMM         float64 `json:"y_mm"`
	WidthMM     float64 `json:"width_mm"`
	HeightMM    float64 `json:"height_mm"`
}

// Place is a rectangle on a print.
type Place struct {
	XMM      float64 `json:"x_mm"`
	YMM      float64 `json:"y_mm"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// PieceFilm is a film of pieces that was made.
type PieceFilm struct {
	Film
	Pieces []Piece `json:"pieces"`
}

// MostPieces is how many pieces a film takes: as many as two figures number.
const MostPieces = 99

// Save makes the film of the pieces. The ending of out says the format. The file
// is there when Save succeeds, and not at all when it fails.
func (p *Pieces) Save(ctx context.Context, out string, o output.Options) (PieceFilm, error) {
	if err := checkName(out); err != nil {
		return PieceFilm{}, err
	}
	f, err := output.Create(out, o)
	if err != nil {
		return PieceFilm{}, err
	}
	defer f.Abort()
	film, err := p.Write(ctx, f, FormatOf(out))
	if err != nil {
		return PieceFilm{}, err
	}
	film.Output = out
	return film, f.Commit()
}

// Write makes the film of the pieces, in format TIFF or PNG. What it has written
// when it fails is not a whole file.
func (p *Pieces) Write(ctx context.Context, w io.WriteSeeker, format string) (PieceFilm, error) {
	if err := p.check(); err != nil {
		return PieceFilm{}, err
	}
	src, err := p.Open()
	if err != nil {
		return PieceFilm{}, err
	}
	defer src.Close()
	plan, err := p.planWithin(src, cmp.Or(p.Memory, DefaultMemory))
	if err != nil {
		return PieceFilm{}, fault.InFile(err, p.Name)
	}
	rows := newPieceRows(plan, src, p.Open)
	defer rows.Close()
	about := p.about(plan)
	h := rows.Header()
	h.Description = about.String()
	sink, err := p.Recipe.sink(w, format, h)
	if err != nil {
		return PieceFilm{}, err
	}
	defer sink.Abort()
	if err := raster.Copy(ctx, sink, rows); err != nil {
		return PieceFilm{}, inContext(ctx, fault.InFile(err, p.Name))
	}
	film := Film{Input: p.Name, FilmForm: formOf(h, about, p.Recipe.Tone.NoMirror, src.Header().Notices...)}
	film.Notices = append(film.Notices, rows.notices...)
	return PieceFilm{Film: film, Pieces: plan.listed()}, sink.Commit()
}

// check refuses pieces that are none or too many.
func (p *Pieces) check() error {
	n := len(p.Curves) * max(len(p.Parts), 1) * p.Copies
	if n >= 1 && n <= MostPieces {
		return nil
	}
	return fault.New(p.Name, "pieces", fmt.Sprintf("%d pieces on one film, expected 1 to %d", n, MostPieces),
		"make fewer copies, or several films")
}

// about is what the film says of itself.
func (p *Pieces) about(plan *piecePlan) Description {
	d := p.Recipe.About
	d.Name = filepath.Base(p.Name)
	d.WidthMM, d.HeightMM = plan.mm(plan.width), plan.mm(plan.height)
	d.NotMirrored = p.Recipe.Tone.NoMirror
	return d
}
