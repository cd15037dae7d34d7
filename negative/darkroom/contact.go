package darkroom

import (
	"math"

	"actinic/negative/chart"
	"actinic/process/density"
)

// Frame is one contact print's printing frame in millimetres: film on coated
// paper, what lies over it, and the lamp. The zero value but for PPI is
// faultless, the paper no larger than the film.
type Frame struct {
	PPI      float64 // of the film raster; the print keeps its grid
	BeyondMM float64 // how far the paper reaches past the film on every side
	Print    Print
	FilmBase density.Density // of clear film: paper beside it gets this much more light
	Lamp     Lamp
	Coating  Coating

	Mottle   float64 // standard deviation of cloudiness, in L*
	MottleMM float64 // size of its clouds
	Grain    float64 // standard deviation of the paper's grain, as a share of net density
	GrainMM  float64
	BlurMM   float64 // standard deviation of how light spreads between ink and paper

	Tablet *LaidTablet // nil for none
	Tape   *chart.Rect // where opaque tape lies; nil for nowhere
	Faults Faults
	Hue    Hue
	InkUp  bool // film lies ink side up: the print shows the page mirrored
	Seed   uint64
}

// TypicalFrame returns a careful beginner's frame: lamp uneven by 0.03 log
// exposure and coating by 3 % of net density, paper with mottle of 0.5 L* and
// a grain, a brush edge outside the film, and some dust.
func TypicalFrame(seed uint64, ppi float64) Frame {
	return Frame{
		PPI: ppi, BeyondMM: 8, FilmBase: 0.04,
		Lamp:    Lamp{Seed: seed, Most: 0.03},
		Coating: Coating{Most: 0.03, Ragged: true, EdgeMM: 4, RaggedMM: 2},
		Mottle:  0.5, MottleMM: 0.6, Grain: 0.03, GrainMM: 0.15, BlurMM: 0.04,
		Faults: Faults{Dust: 4, Hairs: 0.7, Pinholes: 2, Bronzed: 0.5},
		Seed:   seed,
	}
}

// ContactPrint is a sheet of paper with a print on it. Places are millimetres
// from the film's top-left corner as seen on the print: those of the page that
// was drawn, when the film lay right. The paper begins BeyondMM before it.
type ContactPrint struct {
	Picture          // the whole sheet of paper
	PPI      float64 // of the sheet's pixels
	BeyondMM float64
	Hue      Hue

	tablet  *LaidTablet
	touched []bool // by a fault
	spread  float64
}

// WidthMM returns the paper's width.
func (p *ContactPrint) WidthMM() float64 { return float64(p.Width) * 25.4 / p.PPI }

// HeightMM returns the paper's height.
func (p *ContactPrint) HeightMM() float64 { return float64(p.Height) * 25.4 / p.PPI }

// pixel returns a place in pixels; the middle of the first is 0.5, 0.5.
func (p *ContactPrint) pixel(xMM, yMM float64) (x, y float64) {
	return (xMM + p.BeyondMM) * p.PPI / 25.4, (yMM + p.BeyondMM) * p.PPI / 25.4
}

// Contact prints film in a frame. The same film, setup and frame give the same
// print on any number of processors. It holds the print, 5 bytes a pixel, beside
// the film's 2 and, while the light spreads, 4 more.
//
// It fails when the film cannot be read.
func (s *Setup) Contact(film Film, f Frame) (*ContactPrint, error) {
	if !(f.PPI > 0) {
		panic("darkroom: a frame needs the film's PPI")
	}
	plane, width, height, err := s.inkPlane(film, !f.InkUp)
	if err != nil {
		return nil, err
	}
	p := newContactPrint(f, width, height)
	rng := Random(f.Seed, 2301)
	margin := (p.Width - width) / 2
	f.Faults.blocked(plane, width, height, 25.4/f.PPI, rng, func(row int) { p.touchRow(row+margin, margin, width) })
	s.light(plane, width, f, p)
	if f.Tablet != nil {
		f.Tablet.lay(p)
	}
	if f.Tape != nil {
		layTape(p, *f.Tape)
	}
	f.Faults.shade(p, rng)
	blur(&p.Picture, f.BlurMM*f.PPI/25.4)
	s.developSheet(p, f)
	f.Faults.bronze(p, rng)
	return p, nil
}

func newContactPrint(f Frame, width, height int) *ContactPrint {
	margin := int(math.Round(f.BeyondMM * f.PPI / 25.4))
	p := &ContactPrint{PPI: f.PPI, BeyondMM: float64(margin) * 25.4 / f.PPI, Hue: f.Hue, tablet: f.Tablet}
	p.Width, p.Height = width+2*margin, height+2*margin
	p.L = make([]float32, p.Width*p.Height)
	p.touched = make([]bool, p.Width*p.Height)
	p.spread = 1 + 2*f.BlurMM*f.PPI/25.4
	return p
}

func (p *ContactPrint) touchRow(y, margin, width int) {
	reach := int(math.Ceil(p.spread))
	for j := max(y-reach, 0); j <= min(y+reach, p.Height-1); j++ {
		for x := margin; x < margin+width; x++ {
			p.touched[j*p.Width+x] = true
		}
	}
}

// light lays the film on the sheet: what its ink lets through, and all light
// beside it.
func (s *Setup) light(plane []uint16, width int, f Frame, p *ContactPrint) {
	margin := (p.Width - width) / 2
	bare := float32(math.Pow(10, float64(f.FilmBase)))
	table := s.transmission()
	eachRow(p.Height, func(y int) {
		row := p.L[y*p.Width : (y+1)*p.Width]
		for x := range row {
			row[x] = bare
		}
		if y < margin || y >= p.Height-margin {
			return
		}
		for x, d := range plane[(y-margin)*width : (y-margin+1)*width] {
			row[margin+x] = table[d]
		}
	})
}
