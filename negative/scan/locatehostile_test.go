package scan

import (
	"math"
	"math/rand/v2"
	"testing"

	"actinic/negative/chart"
)

// No plane and no chart may end in a panic, a hang or a page found in nothing.
func TestLocateNothing(t *testing.T) {
	c, page := smallChart(1)
	r := rand.New(rand.NewPCG(1, 1))
	fills := map[string]func(x, y int) float64{
		"black":   func(x, y int) float64 { return 0 },
		"white":   func(x, y int) float64 { return 1 },
		"noise":   func(x, y int) float64 { return r.Float64() },
		"stripes": func(x, y int) float64 { return float64(x / 5 % 2) },
		"checks":  func(x, y int) float64 { return float64((x/9 + y/9) % 2) },
		"rings":   func(x, y int) float64 { return 0.5 + 0.5*math.Sin(math.Hypot(float64(x%90-45), float64(y%90-45))) },
		"bosses":  func(x, y int) float64 { return 0.5 + 0.5*math.Cos(math.Hypot(float64(x%40-20), float64(y%40-20))*0.7) },
	}
	for name, fill := range fills {
		for _, size := range [][2]int{{1, 1}, {300, 260}, {900, 700}, {60000, 210}, {1, 40000}} {
			p := &Plane{Width: size[0], Height: size[1], Reduced: 1, PPI: 300, Root: make([]uint16, size[0]*size[1])}
			for i := range p.Root {
				p.Root[i] = uint16(65535 * fill(i%p.Width, i/p.Width))
			}
			if l, err := Locate(p, c); err == nil {
				t.Errorf("%s of %v: found page %d", name, size, l.Page)
			}
			w, h := float64(p.Width), float64(p.Height)
			_, _ = LocateCorners(p, c, [4]Point{{0, 0}, {w, 0}, {w, h}, {0, h}})
			_, _ = LocateCorners(p, withoutCode(c), [4]Point{{0.1 * w, 0.1 * h}, {0.9 * w, 0.1 * h}, {0.9 * w, 0.1*h + 0.8*w*page.HeightMM/page.WidthMM}, {0.1 * w, 0.1*h + 0.8*w*page.HeightMM/page.WidthMM}})
		}
	}
}

// tinyScan is a small chart scanned coarsely, for the fuzzer to spoil.
func tinyScan() (*Plane, *chart.Chart) {
	c := testChart(101.6, 127, 1)
	b := plainScan(&c.Pages[0])
	b.pxPerMM = 75 / 25.4
	return b.scan(&c.Pages[0]), c
}

func FuzzLocate(f *testing.F) {
	plane, c := tinyScan()
	page := &c.Pages[0]
	f.Add([]byte{}, 40.0, 50.0, 6.0, uint8(3))
	f.Add([]byte{0, 255, 0, 255}, math.Inf(1), math.NaN(), 1e300, uint8(0))
	f.Add([]byte{9, 9, 9}, -1e18, 1e-300, 0.0, uint8(255))
	f.Fuzz(func(t *testing.T, spoil []byte, x, y, d float64, which uint8) {
		p := &Plane{Width: plane.Width, Height: plane.Height, Reduced: 1, PPI: x}
		p.Root = append(p.Root, plane.Root...)
		for i := range p.Root {
			if len(spoil) > 0 {
				p.Root[i] ^= uint16(spoil[i%len(spoil)]) << (which % 9)
			}
		}
		d2 := *c
		d2.Pages = []chart.Page{*page}
		marks := append([]chart.Mark{}, page.Marks...)
		marks[int(which)%len(marks)] = chart.Mark{ID: "x", XMM: x, YMM: y, DiameterMM: d}
		d2.Pages[0].Marks = marks
		d2.Pages[0].CodeBox = &chart.Rect{XMM: x, YMM: y, WidthMM: d, HeightMM: d}
		if l, err := Locate(p, &d2); err == nil {
			l.Size(p)
			l.Warp.ToPage(l.Warp.ToPlane(x, y))
		}
		_, _ = LocateCorners(p, &d2, [4]Point{{x, y}, {y, x}, {d, d}, {0, 0}})
	})
}
