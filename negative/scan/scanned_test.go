package scan

import (
	"bytes"
	"context"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/process/density"
)

// print is a contact print of a page, as these tests make it: L* on a grid, by a
// formula of their own.
type print struct {
	page   *chart.Page
	perMM  float64
	width  int
	height int
	lstar  []float32
}

// tone is L* of the print under film ink of 0 to 1.
func tone(ink float64) float64 { return 18 + 76*math.Pow(math.Sin(math.Pi/2*ink), 1.3) }

// contact prints page n of a chart through its own drawing.
func contact(t testing.TB, c *chart.Chart, n int) *print {
	t.Helper()
	src := chart.Draw(c, n)
	h := src.Header()
	p := &print{page: &c.Pages[n], perMM: c.Pages[n].PPI / 25.4, width: h.Width, height: h.Height}
	p.lstar = make([]float32, h.Width*h.Height)
	rows := raster.NewBand(h, 16)
	for y := 0; y < h.Height; {
		n, err := src.ReadRows(context.Background(), rows)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[:n] {
			for x := range h.Width {
				at := x
				if c.Mirrored {
					at = h.Width - 1 - x
				}
				ink := 1 - float64(row[at*h.Channels])/65535
				p.lstar[y*h.Width+x] = float32(tone(ink))
			}
			y++
		}
	}
	return p
}

// change passes every pixel through f, which takes its place in mm.
func (p *print) change(f func(xMM, yMM, lstar float64) float64) {
	for y := range p.height {
		for x := range p.width {
			i := y*p.width + x
			p.lstar[i] = float32(f((float64(x)+0.5)/p.perMM, (float64(y)+0.5)/p.perMM, float64(p.lstar[i])))
		}
	}
}

// truth is L* of the mean reflectance of a rectangle, but for its edge of 0.2 mm:
// pixels of the film lie across it.
func (p *print) truth(r chart.Rect) float64 {
	sum, n := 0.0, 0
	r = chart.Rect{XMM: r.XMM + 0.2, YMM: r.YMM + 0.2, WidthMM: r.WidthMM - 0.4, HeightMM: r.HeightMM - 0.4}
	for y := int(r.YMM * p.perMM); y < int((r.YMM+r.HeightMM)*p.perMM); y++ {
		for x := int(r.XMM * p.perMM); x < int((r.XMM+r.WidthMM)*p.perMM); x++ {
			sum += float64(density.Lightness(p.lstar[y*p.width+x]).Reflectance())
			n++
		}
	}
	return lightness(sum / float64(n))
}

// bed is how a print lies on a scanner and what the scanner makes of it.
type bed struct {
	ppi, angle float64 // angle in degrees
	marginMM   float64
	noise      float64                    // of 16-bit codes
	light      func(u, v float64) float64 // over the bed, 0 to 1 each way
	code       func(y float64) float64    // light to code, 0 to 1; sRGB if nil
	dust       int                        // dark specks on the glass
	bits       int                        // 8 or 16
	channels   int                        // 1 or 3
	seed       uint64
	turned180  bool
}

// picture is a scan in memory.
type picture struct {
	head    raster.Header
	samples []uint16
	row     int
}

func (s *picture) Header() raster.Header { return s.head }
func (s *picture) Restart() error        { s.row = 0; return nil }
func (s *picture) Close() error          { return nil }
func (s *picture) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := 0
	for n < len(dst) && s.row < s.head.Height {
		w := s.head.RowSamples()
		copy(dst[n], s.samples[s.row*w:(s.row+1)*w])
		n, s.row = n+1, s.row+1
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func sRGB(y float64) float64 {
	if y <= 0.0031308 {
		return 12.92 * y
	}
	return 1.055*math.Pow(y, 1/2.4) - 0.055
}

// scan lays the print on the bed.
func (p *print) scan(b bed) *picture {
	if b.bits == 0 {
		b.bits = 16
	}
	if b.channels == 0 {
		b.channels = 3
	}
	if b.code == nil {
		b.code = sRGB
	}
	side := b.ppi / 25.4
	angle := b.angle * math.Pi / 180
	if b.turned180 {
		angle += math.Pi
	}
	sin, cos := math.Sincos(angle)
	wMM, hMM := p.page.WidthMM, p.page.HeightMM
	bw := math.Abs(wMM*cos) + math.Abs(hMM*sin) + 2*b.marginMM
	bh := math.Abs(wMM*sin) + math.Abs(hMM*cos) + 2*b.marginMM
	w, h := int(bw*side), int(bh*side)
	s := &picture{head: raster.Header{Width: w, Height: h, Channels: b.channels, Bits: b.bits, PPIX: b.ppi, PPIY: b.ppi, Orientation: 1, BandRows: 1, Format: "TIFF"}}
	s.samples = make([]uint16, w*h*b.channels)
	random := rand.New(rand.NewPCG(b.seed, 5))
	for y := range h {
		for x := range w {
			dx, dy := (float64(x)+0.5)/side-bw/2, (float64(y)+0.5)/side-bh/2
			mx, my := dx*cos+dy*sin+wMM/2, -dx*sin+dy*cos+hMM/2
			v := p.at(mx, my)
			if b.light != nil {
				v *= b.light(float64(x)/float64(w), float64(y)/float64(h))
			}
			for c := range b.channels {
				code := b.code(v)*65535 + b.noise*random.NormFloat64()
				code = min(max(code, 0), 65535)
				if b.bits == 8 {
					code = math.Round(code/257) * 257
				}
				s.samples[(y*w+x)*b.channels+c] = uint16(code + 0.5)
			}
		}
	}
	for range b.dust {
		s.speck(random)
	}
	return s
}

// speck puts a dark speck of dust on the glass.
func (s *picture) speck(random *rand.Rand) {
	cx, cy, r := random.IntN(s.head.Width), random.IntN(s.head.Height), 1+random.IntN(4)
	for y := max(0, cy-r); y < min(s.head.Height, cy+r); y++ {
		for x := max(0, cx-r); x < min(s.head.Width, cx+r); x++ {
			for c := range s.head.Channels {
				s.samples[(y*s.head.Width+x)*s.head.Channels+c] = 6000
			}
		}
	}
}

// at is the reflectance at a place in mm, between pixels by straight lines;
// outside the print the paper is white.
func (p *print) at(xMM, yMM float64) float64 {
	x, y := xMM*p.perMM-0.5, yMM*p.perMM-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	if i < 0 || j < 0 || i+1 >= p.width || j+1 >= p.height {
		return 0.85
	}
	fx, fy := x-float64(i), y-float64(j)
	a, b := float64(p.lstar[j*p.width+i]), float64(p.lstar[j*p.width+i+1])
	c, d := float64(p.lstar[(j+1)*p.width+i]), float64(p.lstar[(j+1)*p.width+i+1])
	l := (a*(1-fx)+b*fx)*(1-fy) + (c*(1-fx)+d*fx)*fy
	return float64(density.Lightness(l).Reflectance())
}

// input hands a picture to Read.
func (s *picture) input(name string) Input {
	return Input{Name: name, Open: func() (raster.Source, error) {
		fresh := *s
		fresh.row = 0
		return &fresh, nil
	}}
}

// mottle adds even mottle of about sd L*, about corrMM wide.
func (p *print) mottle(sd, corrMM float64, seed uint64) {
	random := rand.New(rand.NewPCG(seed, 9))
	w, h := int(float64(p.width)/p.perMM/corrMM)+3, int(float64(p.height)/p.perMM/corrMM)+3
	v := make([]float64, w*h)
	for i := range v {
		v[i] = sd * 1.5 * random.NormFloat64() // straight lines between nodes halve the variance or so
	}
	p.change(func(x, y, l float64) float64 {
		x, y = x/corrMM, y/corrMM
		i, j := int(x), int(y)
		fx, fy := x-float64(i), y-float64(j)
		m := (v[j*w+i]*(1-fx)+v[j*w+i+1]*fx)*(1-fy) + (v[(j+1)*w+i]*(1-fx)+v[(j+1)*w+i+1]*fx)*fy
		return l + m*min(1, (95-l)/20)
	})
}

// tiff writes a picture as TIFF.
func (s *picture) tiff(t testing.TB) []byte {
	t.Helper()
	var b seekBuffer
	sink, err := raster.NewTIFF(&b, raster.Header{Width: s.head.Width, Height: s.head.Height, Channels: s.head.Channels, Bits: s.head.Bits, PPIX: s.head.PPIX, PPIY: s.head.PPIY}, nil)
	if err != nil {
		t.Fatal(err)
	}
	fresh := *s
	fresh.row = 0
	if err := raster.Copy(context.Background(), sink, &fresh); err != nil {
		t.Fatal(err)
	}
	if err := sink.Commit(); err != nil {
		t.Fatal(err)
	}
	return b.data
}

// seekBuffer is a file in memory.
type seekBuffer struct {
	data []byte
	at   int64
}

func (b *seekBuffer) Write(p []byte) (int, error) {
	if need := int(b.at) + len(p); need > len(b.data) {
		b.data = append(b.data, make([]byte, need-len(b.data))...)
	}
	copy(b.data[b.at:], p)
	b.at += int64(len(p))
	return len(p), nil
}

func (b *seekBuffer) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += b.at
	case io.SeekEnd:
		offset += int64(len(b.data))
	}
	b.at = offset
	return offset, nil
}

// ofBytes hands the bytes of a file to Read.
func ofBytes(name string, data []byte) Input {
	return Input{Name: name, Open: func() (raster.Source, error) {
		return raster.NewSource(bytes.NewReader(data), int64(len(data)), name)
	}}
}
