package batch

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"

	"actinic/negative/letters"
	"actinic/negative/raster"
	"actinic/negative/tone"
)

// Measures of a film of pieces, in millimetres.
const (
	pieceGapMM    = 5.0   // clear film between pieces
	pieceRowMM    = 297.0 // a row is no wider: the long side of A4
	pieceLetterMM = 2.8   // height of a line of letters; a number has twice that
	pieceLineMM   = 1.0   // clear film above letters
)

// piecePlan says where each piece and each line of letters lies, in pixels,
// upright: as the finished print shows it.
type piecePlan struct {
	width, height int
	ppi           float64
	channels      int
	bits          int
	mirrored      bool
	films         []pieceFilm
	rows          []pieceRow
	texts         []pieceText
	clear         []uint16
	shared        int64 // bytes of the picture that all films of a row hold together
}

// pieceFilm is what one or more pieces show: a part of the print made with one
// curve.
type pieceFilm struct {
	table         *tone.InkTable
	name          string // of the curve
	lum           tone.Luminance
	options       tone.Options
	width, height int
	heldBytes     int64
}

// pieceCores is how many cores make a piece: its rows come a few at a time.
const pieceCores = 1

// pieceRow is a row of pieces side by side.
type pieceRow struct {
	top, height int // of the pieces; letters are below
	places      []piecePlace
}

type piecePlace struct{ film, number, x int }

// pieceText is a line of letters; each of its font's pixels is scale wide and
// high.
type pieceText struct {
	x, y, scale int
	shape       letters.Mask
	codes       []uint16
}

// planWithin lays out a film that is made within memory: pictures that must be
// turned hold less and take more passes where they must.
func (p *Pieces) planWithin(src raster.Source, memory int64) (*piecePlan, error) {
	own := *p
	for {
		plan, err := own.plan(src)
		if err != nil {
			return nil, err
		}
		bytes := plan.heldBytes()
		held := cmp.Or(own.Recipe.Tone.HeldBytes, tone.DefaultHeldBytes)
		switch {
		case bytes <= memory:
			return plan, nil
		case held <= leastHeldBytes:
			return nil, tooLarge(p.Name, bytes, memory)
		}
		own.Recipe.Tone.HeldBytes = held / 2
	}
}

// plan lays out the film. It reads nothing of the picture but its header.
func (p *Pieces) plan(src raster.Source) (*piecePlan, error) {
	plan := &piecePlan{mirrored: !p.Recipe.Tone.NoMirror}
	if _, shared := src.(raster.Forker); shared {
		plan.shared = src.Header().HeldBytes
	}
	if err := plan.addFilms(p, src); err != nil {
		return nil, err
	}
	plan.clear = plan.wide(plan.films[0].table.InkCodes(0))
	plan.place(p)
	if p.Recipe.Label {
		about := p.Recipe.About
		about.Name = filepath.Base(p.Name)
		plan.label(about.Line())
	}
	return plan, nil
}

// addFilms plans each film that the pieces show.
func (l *piecePlan) addFilms(p *Pieces, src raster.Source) error {
	lum, err := LuminanceOf(p.Name, src.Header())
	if err != nil {
		return err
	}
	parts := []*tone.Part{nil}
	if len(p.Parts) > 0 {
		parts = nil
		for i := range p.Parts {
			parts = append(parts, &p.Parts[i])
		}
	}
	for _, c := range p.Curves {
		table, err := tone.Bake(c.Curve)
		if err != nil {
			return err
		}
		for _, part := range parts {
			f := pieceFilm{table: table, name: c.Name, lum: lum, options: p.Recipe.Tone}
			f.options.Part, f.options.Label = part, ""
			if err := l.addFilm(f, src); err != nil {
				return err
			}
		}
	}
	return nil
}

func (l *piecePlan) addFilm(f pieceFilm, src raster.Source) error {
	film, err := tone.Negative(src, f.lum, f.table, f.options, pieceCores)
	if err != nil {
		return err
	}
	defer film.Close()
	h := film.Header()
	f.width, f.height, f.heldBytes = h.Width, h.Height, h.HeldBytes
	l.ppi, l.bits, l.channels = h.PPIX, h.Bits, max(l.channels, h.Channels)
	l.films = append(l.films, f)
	return nil
}

func (l *piecePlan) px(mm float64) int { return int(math.Round(mm * l.ppi / 25.4)) }
func (l *piecePlan) mm(px int) float64 { return float64(px) * 25.4 / l.ppi }

// place puts the pieces into rows, from the left and from the top, and writes
// under each what it is. Several copies of several pieces stand in columns, a
// row for each piece, so that one card covers what has one exposure.
func (l *piecePlan) place(p *Pieces) {
	gap, widest, column := l.px(pieceGapMM), l.px(pieceRowMM), 0
	inColumns := p.Copies > 1 && len(l.films) > 1
	if inColumns {
		for i := range l.films {
			column = max(column, l.films[i].width)
		}
	}
	row, x, number := pieceRow{}, 0, 0
	for i := range l.films {
		f := &l.films[i]
		for copied := range p.Copies {
			if x > 0 && (x+f.width > widest || inColumns && copied == 0) {
				l.endRow(row, p)
				row, x = pieceRow{top: l.height + gap}, 0
			}
			number++
			row.places = append(row.places, piecePlace{i, number, x})
			row.height = max(row.height, f.height)
			l.width = max(l.width, x+f.width)
			x += max(f.width, column) + gap
		}
	}
	l.endRow(row, p)
}

// endRow writes under the pieces of a row and makes the film as high as that
// takes. A piece alone needs no number, a calibration alone no name.
func (l *piecePlan) endRow(row pieceRow, p *Pieces) {
	bottom := row.top + row.height
	l.height = bottom
	for _, place := range row.places {
		f := &l.films[place.film]
		if len(l.films)*p.Copies == 1 {
			continue
		}
		codes := l.wide(f.table.InkCodes(100))
		y := l.write(fmt.Sprint(place.number), place.x, place.x+f.width, bottom+l.px(pieceLineMM), 2*l.scale(), codes)
		if len(p.Curves) > 1 {
			y = l.paragraph(f.name, place.x, place.x+f.width, y, codes)
		}
		l.height = max(l.height, y)
	}
	l.rows = append(l.rows, row)
}

// label writes the film's own label below everything.
func (l *piecePlan) label(text string) {
	l.height = l.paragraph(text, 0, l.width, l.height+l.px(pieceLineMM), l.wide(l.films[0].table.InkCodes(100)))
}

// scale is how many pixels of film a pixel of the font takes each way.
func (l *piecePlan) scale() int {
	return max(int(math.Round(pieceLetterMM*l.ppi/25.4/letters.Height)), 1)
}

// paragraph writes text in as many lines as it takes between left and right,
// and returns where it ends.
func (l *piecePlan) paragraph(text string, left, right, y int, codes []uint16) int {
	for _, line := range letters.Wrap(text, (right-left)/(l.scale()*letters.Width)) {
		y = l.write(line, left, right, y, l.scale(), codes)
	}
	return y
}

// write centres a line between left and right and returns where it ends.
func (l *piecePlan) write(line string, left, right, y, scale int, codes []uint16) int {
	m := letters.Line(line)
	x := (left + right - m.Width*scale) / 2
	l.texts = append(l.texts, pieceText{x, y, scale, m, codes})
	return y + m.Height*scale
}

// wide gives grey codes as many channels as the film has.
func (l *piecePlan) wide(codes []uint16) []uint16 {
	for len(codes) < l.channels {
		codes = append(codes, codes[0])
	}
	return codes
}

// listed is what the user is told of the pieces.
func (l *piecePlan) listed() []Piece {
	var all []Piece
	for _, row := range l.rows {
		for _, place := range row.places {
			f := &l.films[place.film]
			piece := Piece{Number: place.number, Calibration: f.name,
				XMM: l.mm(place.x), YMM: l.mm(row.top), WidthMM: l.mm(f.width), HeightMM: l.mm(f.height)}
			if at := f.options.Part; at != nil {
				piece.Part = &Place{at.XMM, at.YMM, at.WidthMM, at.HeightMM}
			}
			all = append(all, piece)
		}
	}
	return all
}
