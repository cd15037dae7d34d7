package tone

import (
	"context"
	"io"
	"math"

	"actinic/negative/raster"
)

// fakeCurve stands in for a calibration: ink rises as a power of the way from
// black to white, so that the shadows are the steep end for power < 1.
type fakeCurve struct {
	power  float64
	colour [3]float64 // printer RGB at full ink
}

func (c fakeCurve) Ink(tone float64) float64 {
	return 100 * math.Pow(min(max(tone, 0), 100)/100, c.power)
}

func (c fakeCurve) Device(ink float64) [3]float64 {
	var v [3]float64
	for i := range v {
		v[i] = 1 - ink/100*(1-c.colour[i])
	}
	return v
}

func (c fakeCurve) Neutral() bool {
	return c.colour[0] == c.colour[1] && c.colour[1] == c.colour[2]
}

var (
	greyCurve  = fakeCurve{power: 1.4}
	olive      = fakeCurve{power: 0.8, colour: [3]float64{0.2, 0.35, 0}}
	kinkyCurve = nodesCurve{{0, 0}, {0.7, 6}, {1, 6.1}, {13, 30}, {13.37, 41}, {50, 60.5}, {99.3, 71}, {100, 98}}
)

// nodesCurve joins tone, ink pairs by straight lines: kinks at each of them.
type nodesCurve [][2]float64

func (c nodesCurve) Ink(tone float64) float64 {
	for i := 1; i < len(c); i++ {
		if a, b := c[i-1], c[i]; tone <= b[0] {
			return a[1] + (tone-a[0])/(b[0]-a[0])*(b[1]-a[1])
		}
	}
	return c[len(c)-1][1]
}

func (c nodesCurve) Device(ink float64) [3]float64 {
	v := 1 - ink/100
	return [3]float64{v, v, v}
}

func (c nodesCurve) Neutral() bool { return true }

// fakePicture is a picture in memory, as a decoder would hand it over.
type fakePicture struct {
	header raster.Header
	pix    []uint16
	row    int
	short  int // rows it really has, when fewer than promised
}

func (p *fakePicture) Header() raster.Header { return p.header }

func (p *fakePicture) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := 0
	for n < len(dst) && n < 5 && p.row < p.header.Height-p.short {
		copy(dst[n], p.pix[p.row*p.header.Width*p.header.Channels:])
		n, p.row = n+1, p.row+1
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func (p *fakePicture) Restart() error { p.row = 0; return nil }
func (p *fakePicture) Close() error   { return nil }

// newPicture fills a picture from at(x, y, channel), 0..65535.
func newPicture(h raster.Header, at func(x, y, ch int) uint16) *fakePicture {
	p := &fakePicture{header: h}
	for y := range h.Height {
		for x := range h.Width {
			for ch := range h.Channels {
				p.pix = append(p.pix, at(x, y, ch))
			}
		}
	}
	return p
}

// srgbLight is the luminance of sRGB values (IEC 61966-2-1:1999), directly.
type srgbLight struct{ channels int }

func (l srgbLight) Row(dst []float32, src []uint16) {
	for i := range dst {
		dst[i] = float32(l.of(src[i*l.channels : (i+1)*l.channels]))
	}
}

func (l srgbLight) of(v []uint16) float64 {
	if l.channels == 1 {
		return decode(v[0])
	}
	return 0.2126390059*decode(v[0]) + 0.7151686788*decode(v[1]) + 0.07219231536*decode(v[2])
}

func decode(v uint16) float64 {
	x := float64(v) / 65535
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// rowsKept is a sink in memory.
type rowsKept struct{ rows [][]uint16 }

func (s *rowsKept) WriteRows(_ context.Context, rows [][]uint16) error {
	for _, r := range rows {
		s.rows = append(s.rows, append([]uint16(nil), r...))
	}
	return nil
}

func (s *rowsKept) Commit() error { return nil }
func (s *rowsKept) Abort()        {}
