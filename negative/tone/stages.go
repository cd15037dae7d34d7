package tone

import (
	"context"
	"fmt"

	"actinic/negative/raster"
)

// stages makes the rows of a film at 16 bits: resample, orient, tone, ink,
// printer RGB, and the border around them.
type stages struct {
	table  *InkTable
	o      Options
	layout *layout
	border *border
	light  *light
	source int64 // bytes that the picture's source holds
	shown  rect  // the picture on the print; the rest of the print is padding
	row    int
	buf    [][]float32
	fill   []uint16 // codes of padding
	jobs   int
}

func newStages(p raster.Header, src feed, table *InkTable, o *Options, jobs int) (*stages, error) {
	upright, final := turnFor(p.Orientation, false), turnFor(p.Orientation, !o.NoMirror)
	w, h := upright.size(p.Width, p.Height)
	l, err := newLayout(w, h, p.PPIX, o)
	if err != nil {
		return nil, err
	}
	s := &stages{table: table, o: *o, layout: l, shown: l.shown(), jobs: jobs, source: p.HeldBytes}
	s.border = newBorder(l.width, l.height, l.ppi, table, o)
	s.light = newLight(src, p.Width, p.Height, l, upright, final, jobs)
	s.fill = s.border.clear
	if o.Edge == EdgeOpaque {
		s.fill = s.border.full
	}
	return s, nil
}

// header describes the film.
func (s *stages) header() raster.Header {
	return raster.Header{
		Width: s.border.width, Height: s.border.height, Channels: s.table.Channels(), Bits: s.o.bits(),
		PPIX: s.layout.ppi, PPIY: s.layout.ppi, Orientation: 1,
		Access: raster.Sequential, BandRows: bandRows, HeldBytes: s.source + s.light.heldBytes()}
}

// read writes the next len(dst) rows of the film, interleaved 16-bit codes.
func (s *stages) read(ctx context.Context, dst [][]uint16) error {
	first := s.row
	inside := func(i int) bool { // does film row first+i cross the picture?
		y := first + i - s.border.picture.y0
		return y >= s.shown.y0 && y < s.shown.y1
	}
	light, err := s.readLight(ctx, len(dst), inside)
	if err != nil {
		return err
	}
	each(s.jobs, len(dst), func(i int) { s.filmRow(dst[i], first+i, light[i]) })
	s.row += len(dst)
	return nil
}

// readLight returns the luminance of the film rows that cross the picture, nil
// for the others.
func (s *stages) readLight(ctx context.Context, n int, inside func(int) bool) ([][]float32, error) {
	for len(s.buf) < n {
		s.buf = append(s.buf, make([]float32, s.light.width))
	}
	light := make([][]float32, n)
	var wanted [][]float32
	for i := range n {
		if inside(i) {
			light[i] = s.buf[i]
			wanted = append(wanted, light[i])
		}
	}
	return light, s.light.read(ctx, wanted)
}

// filmRow draws one row upright left to right around the picture, then mirrors
// it. The picture's luminance comes mirrored already.
func (s *stages) filmRow(dst []uint16, y int, light []float32) {
	n, print := s.table.Channels(), s.border.picture
	if len(light) < s.border.width {
		s.border.row(dst, y)
		if y >= print.y0 && y < print.y1 {
			paint(dst, s.fill, print.x0, print.x1)
		}
		if !s.o.NoMirror {
			reverse(dst, n)
		}
	}
	if len(light) == 0 {
		return
	}
	x := print.x0 + s.shown.x0
	if !s.o.NoMirror {
		x = s.border.width - print.x0 - s.shown.x1
	}
	s.table.Encode(dst[x*n:(x+len(light))*n], light, s.o.Positive)
}

// notices says what the user should know of the way from picture to film.
func (s *stages) notices(p raster.Header) []string {
	notices := append([]string(nil), s.layout.notices...)
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
