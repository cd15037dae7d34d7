package darkroom

import (
	"math"
	"runtime"
	"sync"

	"actinic/process/density"
)

// Filter is a step of a tablet, or anything else that lies over the film while
// it is exposed: a rectangle in pixels as seen on the print, with its density.
type Filter struct {
	X, Y, Width, Height int
	Density             density.Density
}

// Sheet is what one sheet of coated paper and one exposure add to a print in
// pictures. The zero value is a faultless sheet.
type Sheet struct {
	Print      Print
	Filters    []Filter
	Unevenness density.LogExposure // the most that coating and lamp shift exposure anywhere
	Mottle     float64             // standard deviation of paper mottle, in L*
	MottleSize int                 // size of mottle in pixels; below 2 each pixel on its own
	Blur       float64             // standard deviation of contact blur, in pixels
	InkUp      bool                // film lies ink side up: the print is not mirrored
	Seed       uint64              // of unevenness and mottle
}

// TypicalSheet returns a well-coated sheet: exposure even to 0.03, mottle of
// 0.5 L* in spots of 6 pixels, and film that does not lie quite flat.
func TypicalSheet(seed uint64) Sheet {
	return Sheet{Unevenness: 0.03, Mottle: 0.5, MottleSize: 6, Blur: 0.5, Seed: seed}
}

// Expose prints film on a sheet and returns the print as seen. The pixels keep
// the grid of the film raster; the picture is mirrored left to right, as a
// print is when the ink side of the film lies on the paper.
//
// It holds the print in memory, 4 bytes a pixel, beside the film's 2 and, with
// blur, 4 more while the light spreads. The same
// film, setup and sheet give the same print on any number of processors. It
// fails when the film cannot be read.
func (s *Setup) Expose(film Film, sheet Sheet) (*Picture, error) {
	plane, width, height, err := s.inkPlane(film, !sheet.InkUp)
	if err != nil {
		return nil, err
	}
	p := &Picture{Width: width, Height: height, L: make([]float32, width*height)}
	s.transmit(plane, p.L)
	blur(p, sheet.Blur)
	for _, f := range sheet.Filters {
		f.cover(p)
	}
	s.develop(p, sheet)
	return p, nil
}

// transmit turns the plane of ink into the light that it lets through.
func (s *Setup) transmit(plane []uint16, light []float32) {
	table := s.transmission()
	for i, d := range plane {
		light[i] = table[d]
	}
}

// transmission is the share of light that passes each pixel of the plane of ink.
func (s *Setup) transmission() []float32 {
	table := make([]float32, 65536)
	for i := range table {
		uv := most16 * float64(i) / 65535
		if s.printer == nil {
			uv = s.inkRange * s.ramp(float64(i)/65535)
		}
		table[i] = float32(math.Pow(10, -uv))
	}
	return table
}

// cover dims the light under a filter, where it lies on the picture.
func (f Filter) cover(p *Picture) {
	through := float32(f.Density.Reflectance())
	for y := max(f.Y, 0); y < min(f.Y+f.Height, p.Height); y++ {
		for x := max(f.X, 0); x < min(f.X+f.Width, p.Width); x++ {
			p.L[y*p.Width+x] *= through
		}
	}
}

// develop turns light into the L* of the print, in place.
func (s *Setup) develop(p *Picture, sheet Sheet) {
	paper := s.newPaperTable(sheet.Print)
	uneven := newSurface(sheet.Seed, float64(sheet.Unevenness))
	spots := newMottle(sheet.Seed, sheet.MottleSize, sheet.Mottle)
	eachRow(p.Height, func(y int) {
		row := p.L[y*p.Width : (y+1)*p.Width]
		across := uneven.row(y, p.Width, p.Height)
		for x, light := range row {
			exposure := math.Log10(float64(light)) + across.at(x)
			l := paper.at(exposure) + spots.at(x, y)
			row[x] = float32(min(max(l, 0), 100))
		}
	})
}

// paperTable is L*, or another measure of the print, against log exposure at
// even steps.
type paperTable []float64

const (
	tableFrom  = -8.0
	tableTo    = 0.6
	tableSteps = 8600
	perUnit    = tableSteps / (tableTo - tableFrom)
)

func (s *Setup) newPaperTable(p Print) paperTable {
	return tableOf(func(x density.LogExposure) float64 { return float64(s.PrintDensityOn(p, x).Lightness()) })
}

func tableOf(measure func(x density.LogExposure) float64) paperTable {
	table := make(paperTable, tableSteps+1)
	for i := range table {
		table[i] = measure(density.LogExposure(tableFrom + float64(i)/perUnit))
	}
	return table
}

func (t paperTable) at(exposure float64) float64 {
	at := min(max((exposure-tableFrom)*perUnit, 0), tableSteps-1e-9)
	i := int(at)
	return t[i] + (at-float64(i))*(t[i+1]-t[i])
}

// eachRow runs do for every row, some rows at a time side by side. No row may
// depend on another.
func eachRow(height int, do func(y int)) {
	workers := runtime.GOMAXPROCS(0)
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for y := w; y < height; y += workers {
				do(y)
			}
		})
	}
	wait.Wait()
}
