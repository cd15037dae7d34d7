package chart

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// Ink is counted in thousandths of a per cent, printer values in thousandths of
// a code value: so do files, and sums stay whole.
const (
	fullInk  = 100_000
	clearRGB = 255_000
)

// level is one step of a ramp.
type level struct {
	ink    int // thousandths of a per cent
	device [3]float64
}

// levels returns the steps of the ramp, from clear to full ink. On a neutral
// ramp they stand on whole printer values, so that a driver of 8 bits prints
// them as they are.
func (o *RampOptions) levels() ([]level, error) {
	most := o.mostLevels()
	if o.Levels < 2 || o.Levels > most {
		return nil, fault.New("", "", fmt.Sprintf("%d levels; this ink colour has 2 to %d", o.Levels, most),
			fmt.Sprintf("%d levels serve: --levels %d", min(most, 41), min(most, 41)))
	}
	at := evenInks(o.Levels)
	if o.Lightness != nil {
		at = denseInks(o.Levels, o.Lightness, o.inkWeight())
	}
	if o.straight() && o.neutral() {
		return o.wholeLevels(at), nil
	}
	levels := make([]level, len(at))
	for i, ink := range at {
		levels[i] = level{ink, o.deviceAt(ink)}
	}
	return levels, nil
}

// mostLevels is how many different levels the ramp has: one for each whole
// printer value of a neutral ramp, and as many as are useful of another.
func (o *RampOptions) mostLevels() int {
	if o.straight() && o.neutral() {
		return 256 - int(math.Ceil(o.InkColour[0]))
	}
	return 256
}

// straight reports whether the ramp runs straight from clear to the ink colour.
func (o *RampOptions) straight() bool { return o.Device == nil }

// inkWeight is what ink counts beside print tone where levels are spaced.
func (o *RampOptions) inkWeight() int64 {
	if o.byTone {
		return 0
	}
	return 1
}

func evenInks(n int) []int {
	at := make([]int, n)
	for i := range at {
		at[i] = (2*fullInk*i + n - 1) / (2 * (n - 1))
	}
	return at
}

// denseInks spaces inks evenly in the mean of ink and print tone, both taken
// from 0 to 1: half of the levels for the whole ramp, half where the print
// changes fastest. Without weight for ink they are even in print tone. L* is rounded to 0.001 first, so that a last bit does not
// move a level.
func denseInks(n int, lightness func(inkPercent float64) float64, inkWeight int64) []int {
	const steps = 10_000
	along := make([]int64, steps+1) // of the mean, not scaled
	value := func(i int) int64 { return int64(math.Round(1000 * lightness(float64(i)/(steps/100)))) }
	first, last := value(0), value(steps)
	whole := last - first
	if whole == 0 {
		return evenInks(n)
	}
	for i := range along {
		along[i] = inkWeight*int64(i)*whole + (value(i)-first)*steps // 0 to 2 x steps x whole
		if whole < 0 {
			along[i] = -along[i]
		}
		if i > 0 {
			along[i] = max(along[i], along[i-1])
		}
	}
	at := make([]int, n)
	i := 0
	for k := range at {
		for i < steps && along[i]*int64(n-1) < along[steps]*int64(k) {
			i++
		}
		at[k] = i * (fullInk / steps)
	}
	at[n-1] = fullInk
	return at
}

// wholeLevels moves inks to the nearest whole printer values, each of which is
// used once.
func (o *RampOptions) wholeLevels(at []int) []level {
	end := int(math.Ceil(o.InkColour[0]))
	span := 255 - o.InkColour[0]
	levels := make([]level, len(at))
	last := 256
	for i, ink := range at {
		left := len(at) - 1 - i
		v := 255 - int(math.Round(float64(ink)*span/fullInk))
		v = max(min(v, last-1), end+left)
		last = v
		levels[i] = o.wholeLevel(v)
	}
	levels[len(at)-1] = level{fullInk, o.InkColour}
	return levels
}

// wholeLevel is the level of a whole printer value on a neutral ramp.
func (o *RampOptions) wholeLevel(v int) level {
	ink := int(math.Round(fullInk * float64(255-v) / (255 - o.InkColour[0])))
	f := float64(v)
	return level{ink, [3]float64{f, f, f}}
}

// deviceAt returns the printer RGB of an ink, to 0.001 of a code value.
func (o *RampOptions) deviceAt(ink int) [3]float64 {
	var device [3]float64
	if o.Device != nil {
		for i, v := range o.Device(float64(ink) / 1000) {
			device[i] = math.Round(clearRGB*v) / 1000
		}
		return device
	}
	for i, full := range o.InkColour {
		c := int64(math.Round(1000 * full))
		sum := int64(clearRGB)*int64(fullInk-ink) + c*int64(ink)
		device[i] = float64((2*sum+fullInk)/(2*fullInk)) / 1000
	}
	return device
}
