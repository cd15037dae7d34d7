package chart

import (
	"fmt"

	"actinic/process/fault"
)

// RampOptions says what a ramp of film ink shows.
type RampOptions struct {
	Sheet
	Levels  int // from clear film to full ink, both included; 2 to 256
	Repeats int // of each level, scattered over the sheet; 1 to 20
	// Lightness returns the L* of the print under a film ink of 0 to 100 %, from
	// an earlier calibration: levels then lie denser where it changes fastest.
	// Nil where none is known.
	Lightness func(inkPercent float64) float64
	// Device returns the printer RGB, 0 to 1, of a film ink of 0 to 100 %, from an
	// earlier calibration; it takes the place of InkColour. Nil is the straight
	// way from clear to the ink colour.
	Device func(inkPercent float64) [3]float64
	// Inks are the levels themselves, film inks of 0 to 100 %, repeats among them;
	// they take the place of Levels, Repeats and Lightness. Nil where none are given.
	Inks []float64

	byTone bool // levels even in print tone, where it is known
}

const mostRepeats = 20

// NewRamp returns a chart of one ink colour from clear film to full ink. Each
// repeat of the levels fills a part of the sheet of its own, in an order drawn
// from the seed so that level and place have little to do with each other. It
// fails with *fault.Error where film or options can't be used.
func NewRamp(o RampOptions) (*Chart, error) {
	return o.build(Ramp, fixedValues)
}

// fixedValues are printer values, the same in each channel, that every ramp
// has: by them the prints of different ink colours compare.
var fixedValues = []int{64, 128, 192}

func (o *RampOptions) build(kind Kind, fixed []int) (*Chart, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if err := o.takeDevice(); err != nil {
		return nil, err
	}
	blocks, err := o.blocks()
	if err != nil {
		return nil, err
	}
	p, notices, err := o.plan(kind)
	if err != nil {
		return nil, err
	}
	n := len(fixed)
	for _, b := range blocks {
		n += len(b)
	}
	pages, marks, err := pagesOf(p, n)
	if err != nil {
		return nil, err
	}
	c := o.newChart(kind)
	c.Notices = notices
	c.addPages(&o.Sheet, p, pages, marks, o.patches(blocks, fixed, pages))
	return c, nil
}

// takeDevice takes the ink colour from Device, and leaves Device out where it
// runs straight from clear film.
func (o *RampOptions) takeDevice() error {
	if o.Device == nil {
		return nil
	}
	bent := *o
	o.InkColour = o.deviceAt(fullInk)
	o.Device = nil
	for ink := 0; ink <= fullInk; ink += fullInk / 100 {
		a, b := bent.deviceAt(ink), o.deviceAt(ink)
		for i := range a {
			if !(a[i] >= 0 && a[i] <= 255) {
				return fault.New("", "", fmt.Sprintf("the ink ramp has printer values of %g at %g %% ink, expected 0 to 255", a, float64(ink)/1000), "")
			}
			if d := a[i] - b[i]; d > straightRGB || d < -straightRGB {
				o.Device = bent.Device
			}
		}
	}
	return nil
}

// straightRGB is how far, in code values, a way may lie off the straight one and
// still be it: rounding.
const straightRGB = 0.002

// blocks returns the levels by the parts of the sheet that they fill: each
// repeat fills a part of its own.
func (o *RampOptions) blocks() ([][]level, error) {
	if o.Inks != nil {
		return o.givenBlocks()
	}
	if o.Repeats < 1 || o.Repeats > mostRepeats {
		return nil, fault.New("", "", fmt.Sprintf("%d repeats, expected 1 to %d", o.Repeats, mostRepeats), "2 repeats serve most charts: --repeats 2")
	}
	levels, err := o.levels()
	if err != nil {
		return nil, err
	}
	blocks := make([][]level, o.Repeats)
	for i := range blocks {
		blocks[i] = levels
	}
	return blocks, nil
}

// patches returns a patch for each cell in order: one block of levels after the
// other, each scattered over its own cells. The fixed values go with the first.
func (o *RampOptions) patches(blocks [][]level, fixed []int, pages [][]cell) []Patch {
	places := placesOf(pages)
	draw := newDraw(o.Seed)
	var all []Patch
	for i, levels := range blocks {
		var block []Patch
		for _, l := range levels {
			block = append(block, l.patch())
		}
		if i == 0 {
			for _, v := range fixed {
				block = append(block, o.fixedPatch(v))
			}
		}
		all = append(all, scatter(block, places[len(all):len(all)+len(block)], inkRank, draw)...)
	}
	return all
}

func (l level) patch() Patch {
	ink, device := float64(l.ink)/1000, l.device
	return Patch{Ink: &ink, Device: &device}
}

// fixedPatch is a patch of one printer value in every channel; it has an ink
// only where it lies on the ramp.
func (o *RampOptions) fixedPatch(v int) Patch {
	f := float64(v)
	p := Patch{ID: fmt.Sprintf("v%d", v), Device: &[3]float64{f, f, f}}
	if o.straight() && o.neutral() && f >= o.InkColour[0] {
		p.Ink = o.wholeLevel(v).patch().Ink
	}
	return p
}
