package chart

import (
	"context"
	"io"
	"math"
	"slices"

	"actinic/negative/raster"
)

// Draw returns the rows of page, counted from 0, from the top as they go to the
// printer: mirrored where the chart is. They are 16-bit printer values, grey
// when all of the chart is neutral, else red, green and blue. The source holds
// what is drawn, not the pixels. Draw panics for a page that the chart lacks.
func Draw(c *Chart, page int) raster.Source {
	p := &c.Pages[page]
	g := gridOf(p.PPI)
	s := &rows{width: g.px(um(p.WidthMM)), height: g.px(um(p.HeightMM)), mirrored: c.Mirrored}
	s.channels = 3
	if c.neutral() {
		s.channels = 1
	}
	s.head = raster.Header{Width: s.width, Height: s.height, Channels: s.channels, Bits: 16,
		PPIX: p.PPI, PPIY: p.PPI, Orientation: 1, Access: raster.AnyRow, BandRows: 16}
	d := &drawing{grid: g, channels: s.channels, page: p}
	d.full, d.clear = d.codes(c.fullInk(page)), d.codes([3]float64{255, 255, 255})
	d.draw(c, page)
	s.clear, s.shapes = d.clear, d.shapes
	slices.SortStableFunc(s.shapes, func(a, b shape) int { return a.rows().from - b.rows().from })
	return s
}

// neutral reports whether red, green and blue are the same in all that is drawn.
func (c *Chart) neutral() bool {
	for _, p := range c.Pages {
		for _, q := range p.Patches {
			if d := q.Device; d != nil && (d[0] != d[1] || d[1] != d[2]) {
				return false
			}
		}
	}
	return true
}

// fullInk is the printer RGB that everything but the patches is drawn in.
func (c *Chart) fullInk(page int) [3]float64 {
	for _, q := range c.Pages[page].Patches {
		if q.Device != nil && q.ID == onPage(page, "full-tl") {
			return *q.Device
		}
	}
	return [3]float64{}
}

// device is the printer RGB of a patch; ink alone means the neutral ramp.
func (q *Patch) device() [3]float64 {
	if q.Device != nil {
		return *q.Device
	}
	v := 255 - float64(2.55**q.Ink)
	return [3]float64{v, v, v}
}

// rows gives a drawn page row by row. Every row is drawn by itself, of the
// shapes that reach it, in the order in which they were put down.
type rows struct {
	head                    raster.Header
	width, height, channels int
	mirrored                bool
	clear                   []uint16
	shapes                  []shape // by their first row
	next                    int
	begun                   int     // shapes that began above the next row
	active                  []shape // of those, the ones that have not ended
}

func (s *rows) Header() raster.Header { return s.head }
func (s *rows) Close() error          { return nil }
func (s *rows) Restart() error        { return s.SeekRow(0) }

// SeekRow makes the next ReadRows begin at row y.
func (s *rows) SeekRow(y int) error {
	s.next, s.begun, s.active = y, 0, nil
	return nil
}

// ReadRows fills rows of dst, at least one, or gives io.EOF.
func (s *rows) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	n := min(len(dst), s.height-s.next)
	if n <= 0 {
		return 0, io.EOF
	}
	for _, row := range dst[:n] {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		s.row(row[:s.width*s.channels], s.next)
		s.next++
	}
	return n, nil
}

func (s *rows) row(dst []uint16, y int) {
	paint(dst, s.clear, 0, s.width)
	s.activate(y)
	for _, sh := range s.active {
		sh.draw(dst, y)
	}
	if s.mirrored {
		reverse(dst, s.channels)
	}
}

// activate brings the active shapes to row y, in the order of drawing.
func (s *rows) activate(y int) {
	s.active = slices.DeleteFunc(s.active, func(sh shape) bool { return sh.rows().to <= y })
	begun := s.begun
	for s.begun < len(s.shapes) && s.shapes[s.begun].rows().from <= y {
		if sh := s.shapes[s.begun]; sh.rows().to > y {
			s.active = append(s.active, sh)
		}
		s.begun++
	}
	if s.begun > begun {
		slices.SortStableFunc(s.active, func(a, b shape) int { return a.rows().order - b.rows().order })
	}
}

// paint sets pixels x0..x1 of a row to codes, as far as the row goes.
func paint(dst, codes []uint16, x0, x1 int) {
	n := len(codes)
	for x := max(x0, 0); x < x1 && (x+1)*n <= len(dst); x++ {
		copy(dst[x*n:x*n+n], codes)
	}
}

// reverse mirrors a row of pixels.
func reverse(row []uint16, channels int) {
	for a, z := 0, len(row)-channels; a < z; a, z = a+channels, z-channels {
		for c := range channels {
			row[a+c], row[z+c] = row[z+c], row[a+c]
		}
	}
}

// codes returns printer values of 16 bits for RGB of 0 to 255: v x 257.
func (d *drawing) codes(device [3]float64) []uint16 {
	codes := make([]uint16, d.channels)
	for i := range codes {
		codes[i] = uint16(math.Round(device[i] * 257))
	}
	return codes
}
