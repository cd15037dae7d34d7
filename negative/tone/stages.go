package tone

import (
	"fmt"

	"actinic/negative/raster"
)

// stages is the plan of a film: what of the picture lies where on it, and what
// is drawn around. It does not change while the film is made.
type stages struct {
	table  *InkTable
	o      Options
	layout *layout
	border *border
	grid   *grid
	shown  rect // the picture on the print; the rest of the print is padding
	// The picture on the film: columns and rows.
	columns, rows span
	fill          []uint16 // codes of padding
	turned        string   // what the user should know of a turn, or ""
}

func newStages(p raster.Header, table *InkTable, o *Options) (*stages, error) {
	s := &stages{table: table, o: *o}
	face := s.face(p)
	final := face
	if !o.NoMirror {
		final = face.then(mirror)
	}
	w, h := face.size(p.Width, p.Height)
	l, err := newLayout(w, h, p.PPIX, o)
	if err != nil {
		return nil, err
	}
	s.layout, s.shown = l, l.shown()
	s.border = newBorder(l.width, l.height, l.ppi, table, o)
	s.grid = newGrid(p.Width, p.Height, l, face, final)
	s.fill = s.border.clear
	if o.Edge == EdgeOpaque {
		s.fill = s.border.full
	}
	s.place()
	return s, nil
}

// face returns the turn by which the print shows the picture: upright, then
// rotated as asked for.
func (s *stages) face(p raster.Header) turn {
	t := upright(p.Orientation).then(clockwise(s.o.Rotate))
	w, h := t.size(p.Width, p.Height)
	if s.o.RotateToFit && s.o.WidthMM > 0 && s.o.HeightMM > 0 &&
		(w > h && s.o.WidthMM < s.o.HeightMM || w < h && s.o.WidthMM > s.o.HeightMM) {
		s.turned = "the picture lies the other way than the size: turned clockwise by 90 degrees"
		t = t.then(clockwise(90))
	}
	return t
}

// place sets where the picture lies on the film.
func (s *stages) place() {
	print := s.border.picture
	s.rows = span{print.y0 + s.shown.y0, print.y0 + s.shown.y1}
	s.columns = span{print.x0 + s.shown.x0, print.x0 + s.shown.x1}
	if !s.o.NoMirror {
		s.columns = s.columns.reversed(s.border.width)
	}
}

// header describes the film, but for its memory.
func (s *stages) header() raster.Header {
	return raster.Header{
		Width: s.border.width, Height: s.border.height, Channels: s.table.Channels(), Bits: s.o.bits(),
		PPIX: s.layout.ppi, PPIY: s.layout.ppi, Orientation: 1, Access: raster.Sequential, BandRows: 1}
}

// part returns the place of the picture in film row y.
func (s *stages) part(row []uint16) []uint16 {
	n := s.table.Channels()
	return row[s.columns.from*n : s.columns.to*n]
}

// covers reports whether film row y is picture from end to end.
func (s *stages) covers(y int) bool {
	return y >= s.rows.from && y < s.rows.to && s.columns.count() == s.border.width
}

// frame draws what surrounds the picture in film row y: upright left to right,
// then mirrored. The picture's own pixels are left to others.
func (s *stages) frame(dst []uint16, y int) {
	n, print := s.table.Channels(), s.border.picture
	s.border.row(dst, y)
	if y >= print.y0 && y < print.y1 {
		paint(dst, s.fill, print.x0, print.x1)
	}
	if !s.o.NoMirror {
		reverse(dst, n)
	}
}

// notices says what the user should know of the way from picture to film.
func (s *stages) notices(p raster.Header) []string {
	notices := append([]string(nil), s.layout.notices...)
	if s.turned != "" {
		notices = append(notices, s.turned)
	}
	if steep := s.table.Steepest(); p.Bits <= 8 && steep > steepCurve {
		notices = append(notices, fmt.Sprintf("the picture has 8 bits and the curve is steep (%.0f to 1 at its steepest): smooth tones may show contours; start from 16 bits if you can", steep))
	}
	if p.PPIX > 0 && p.PPIY > 0 && (p.PPIX > 1.01*p.PPIY || p.PPIY > 1.01*p.PPIX) {
		notices = append(notices, fmt.Sprintf("the picture says that its pixels are not square (%.4g by %.4g an inch): they are taken as square", p.PPIX, p.PPIY))
	}
	if s.o.CheckStrip && s.border.width < s.border.px(minPatchMM)*len(StripTones()) {
		notices = append(notices, "the film is narrow: the patches of the check strip are too small to judge by eye")
	}
	return notices
}

const (
	// steepCurve is the slope from which 8 bits show: at 5 to 1 one code moves
	// the film by 2 of 100, four times the step that the eye just sees
	// (posterisation figures of testdata/vectors/posterisation.csv).
	steepCurve = 5
	minPatchMM = 3
)
