package profile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"actinic/negative/raster"
)

// inkNode is what four inks, 0..1, print: paper darkened by each, black most;
// coded for the connection space, 0..1.
func inkNode(c, m, y, k float64, pcs string) []float64 {
	light := 0.85*(1-0.75*c)*(1-0.8*m)*(1-0.15*y)*(1-0.93*k) + 0.15*(1-k)*(1-0.3*c-0.3*m-0.1*y)
	if pcs == "Lab " {
		return []float64{toLightness(light) / 100, 128.0/255 + 0.15*(m-c), 128.0/255 + 0.2*(y-c)}
	}
	const one = 32768.0 / 65535
	return []float64{0.9642 * light * one, light * one, 0.8249 * light * one}
}

func inkGrid(sides [4]int, pcs string) (grid []float64) {
	at := func(i, n int) float64 { return float64(i) / float64(n-1) }
	for c := range sides[0] {
		for m := range sides[1] {
			for y := range sides[2] {
				for k := range sides[3] {
					grid = append(grid, inkNode(at(c, sides[0]), at(m, sides[1]), at(y, sides[2]), at(k, sides[3]), pcs)...)
				}
			}
		}
	}
	return grid
}

// inkLUT is a tag of lut8Type or lut16Type with bent curves before and behind.
func inkLUT(kind string, side int, pcs string) []byte {
	grid := inkGrid([4]int{side, side, side, side}, pcs)
	b := lutHead(kind, 4, side)
	if kind == "mft1" {
		for i := range 4 {
			for v := range 256 {
				b = append(b, byte(math.Round(255*math.Pow(float64(v)/255, 0.7+0.2*float64(i)))))
			}
		}
		for _, v := range grid {
			b = append(b, byte(math.Round(255*v)))
		}
		for range 3 {
			for v := range 256 {
				b = append(b, byte(v))
			}
		}
		return b
	}
	b = append(b, 0, 5, 0, 5)
	for range 4 {
		b = appendWords(b, 0, 0.35, 0.6, 0.8, 1)
	}
	if pcs == "Lab " {
		for i := range grid {
			grid[i] *= 65280.0 / 65535
		}
	}
	b = appendWords(b, grid...)
	for range 3 {
		b = appendWords(b, 0, 0.27, 0.5, 0.74, 1)
	}
	return b
}

// inkModular is lutAToBType of four inks with a grid of another number of nodes
// along each, and, if mixed, M curves and a matrix.
func inkModular(pcs string, mixed bool) []byte {
	sides := [4]int{5, 7, 4, 9}
	return fullModular(sides[:], inkGrid(sides, pcs), mixed)
}

// rgbModular is that of RGB: the ink black left out, light for its complement.
func rgbModular(pcs string, mixed, grid bool) []byte {
	if !grid {
		return fullModular([]int{0, 0, 0}, nil, mixed)
	}
	var values []float64
	for r := range 5 {
		for g := range 9 {
			for b := range 6 {
				values = append(values, inkNode(1-float64(r)/4, 1-float64(g)/8, 1-float64(b)/5, 0, pcs)...)
			}
		}
	}
	return fullModular([]int{5, 9, 6}, values, mixed)
}

func fullModular(sides []int, grid []float64, mixed bool) []byte {
	b := append([]byte("mAB \x00\x00\x00\x00"), byte(len(sides)), 3, 0, 0)
	b = append(b, make([]byte, 20)...)
	put := func(slot int, part []byte) {
		binary.BigEndian.PutUint32(b[12+4*slot:], uint32(len(b)))
		b = append(b, part...)
		b = append(b, make([]byte, padded(len(b))-len(b))...)
	}
	several := func(n int, one []byte) (out []byte) {
		for range n {
			out = append(out, one...)
			out = append(out, make([]byte, padded(len(out))-len(out))...)
		}
		return out
	}
	put(0, several(3, table(33, func(v float64) float64 { return v*0.9 + 0.1*v*v })))
	if mixed {
		var m []byte
		row := 1.0
		if grid == nil {
			row = 0.5 // stays below white in XYZ, where that is 1 of 1.99997
		}
		for _, v := range []float64{0.9, 0.03, 0, 0.04, 0.9, 0.02, 0, 0, 1, 0.01, 0.015, 0} {
			m = appendFixed(m, row*v)
		}
		put(1, m)
		put(2, several(3, para(0, 1.8)))
	}
	if grid != nil {
		clut := make([]byte, 20)
		for i, s := range sides {
			clut[i] = byte(s)
		}
		clut[16] = 2
		put(3, appendWords(clut, grid...))
		put(4, several(len(sides), para(0, 1.6)))
	}
	return b
}

func inkProfile(pcs string, tag []byte) []byte {
	return profileOf("prtr", "CMYK", pcs, tagData{"A2B1", tag}, tagData{"A2B0", []byte("not to be used")})
}

// TestInkProfilesAgreeWithLcms: every kind of table, bent curves on both sides,
// within 0.2 L* of lcms2 on more than 6000 mixtures.
func TestInkProfilesAgreeWithLcms(t *testing.T) {
	for name, c := range map[string][]byte{
		"mft1 Lab":       inkProfile("Lab ", inkLUT("mft1", 6, "Lab ")),
		"mft2 Lab":       inkProfile("Lab ", inkLUT("mft2", 9, "Lab ")),
		"mft2 XYZ":       inkProfile("XYZ ", inkLUT("mft2", 7, "XYZ ")),
		"mAB Lab":        inkProfile("Lab ", inkModular("Lab ", false)),
		"mAB XYZ":        inkProfile("XYZ ", inkModular("XYZ ", false)),
		"mAB Lab matrix": inkProfile("Lab ", inkModular("Lab ", true)),
		"mAB XYZ matrix": inkProfile("XYZ ", inkModular("XYZ ", true)),
	} {
		agrees(t, name, c, 4)
	}
}

// TestUnevenGridsAgreeWithLcms: RGB tables of another number of nodes along each
// channel, and those that have curves and a matrix only.
func TestUnevenGridsAgreeWithLcms(t *testing.T) {
	for _, pcs := range []string{"Lab ", "XYZ "} {
		for _, mixed := range []bool{false, true} {
			tag := tagData{"A2B0", rgbModular(pcs, mixed, true)}
			agrees(t, fmt.Sprint("grid ", pcs, mixed), profileOf("scnr", "RGB ", pcs, tag), 3)
		}
		agrees(t, "no grid "+pcs, profileOf("scnr", "RGB ", pcs, tagData{"A2B0", rgbModular(pcs, true, false)}), 3)
	}
}

// TestTablesAgreeWithLibrary holds tables against another reader of profiles,
// where all sides of a grid are equal: it takes them to be.
func TestTablesAgreeWithLibrary(t *testing.T) {
	for name, c := range map[string]struct {
		data     []byte
		channels int
	}{
		"RGB mft1": {tableProfile("mft1", "Lab "), 3}, "RGB mft2": {tableProfile("mft2", "Lab "), 3}, "RGB mAB": {tableProfile("mAB ", "Lab "), 3},
		"CMYK mft2": {inkProfile("Lab ", inkLUT("mft2", 9, "Lab ")), 4},
	} {
		lum, err := FromICC(c.data, c.channels)
		if err != nil {
			t.Fatal(err)
		}
		p, err := icc.NewProfileReader(bytes.NewReader(c.data)).ReadProfile()
		if err != nil {
			t.Fatal(err)
		}
		pipe, err := p.CreateTransformerToPCS(icc.RelativeColorimetricRenderingIntent, c.channels, false)
		if err != nil {
			t.Fatal(err)
		}
		for _, pixel := range pixelsOf(c.channels) {
			var in, out [4]float64
			for i, v := range pixel {
				in[i] = float64(v) / 65535
			}
			pipe.TransformGeneral(out[:], in[:])
			if got := toLightness(one(lum, pixel...)); math.Abs(got-min(max(out[0], 0), 100)) > 0.2 {
				t.Errorf("%s: %v has L* %.3f, want %.3f", name, pixel, got, out[0])
				break
			}
		}
	}
}

// TestShippedInkProfilesAgreeWithLcms takes those that Debian ships.
func TestShippedInkProfilesAgreeWithLcms(t *testing.T) {
	for _, name := range []string{"default_cmyk.icc", "ps_cmyk.icc", "gray_to_k.icc"} {
		agrees(t, name, debian(t, name), 4)
	}
}

func TestInkProfilesThatAreBroken(t *testing.T) {
	whole := inkLUT("mft2", 3, "Lab ")
	modular := inkModular("Lab ", true)
	for name, c := range map[string]struct {
		tag  []byte
		says string
	}{
		"cut":           {whole[:len(whole)-40], "expected"},
		"a side of one": {patched(whole, 10, 1), "1 nodes a side"},
		"huge":          {patched(whole, 10, 255), "more values"},
		"no entries":    {patched(patched(whole, 49, 0), 48, 0), "curves of 0"},
		"head only":     {whole[:50], "at least 52"},
		"no grid":       {patched(patched(patched(modular, 27, 0), 26, 0), 25, 0), "grid at 0"},
		"grid beyond":   {patched(modular, 24, 0x70), "has its grid at"},
		"curves beyond": {patched(modular, 28, 0x70), "beyond"},
		"matrix beyond": {patched(modular, 16, 0x70), "beyond"},
		"grid cut":      {modular[:4000], "expected"},
		"word of 3":     {patched(modular, int(binary.BigEndian.Uint32(modular[24:]))+16, 3), "3 bytes"},
	} {
		_, err := FromICC(inkProfile("Lab ", c.tag), 4)
		var f *raster.FormatError
		if !errors.As(err, &f) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "A2B1") {
			t.Errorf("%s: %v, want a FormatError with %q", name, err, c.says)
		}
	}
}

// TestPaperIsWhite: no ink is the medium's white, whatever ink does.
func TestPaperIsWhite(t *testing.T) {
	lum, err := FromICC(inkProfile("Lab ", inkModular("Lab ", false)), 4)
	if err != nil {
		t.Fatal(err)
	}
	if y := one(lum, 0, 0, 0, 0); math.Abs(y-1) > 1e-4 {
		t.Errorf("paper has the luminance %g", y)
	}
	if lum.Channels() != 4 {
		t.Errorf("%d channels", lum.Channels())
	}
}
