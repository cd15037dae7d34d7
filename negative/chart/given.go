package chart

import (
	"fmt"
	"math"
	"slices"

	"actinic/process/fault"
)

// givenBlocks returns the levels of the inks that were given, by ink, each next
// one in the other half of the sheet: the repeats of a level and its neighbours
// then lie apart.
func (o *RampOptions) givenBlocks() ([][]level, error) {
	if len(o.Inks) < 1 || len(o.Inks) > mostPatches {
		return nil, fault.New("", "", fmt.Sprintf("%d patches, expected 1 to %d", len(o.Inks), mostPatches), "ask for fewer")
	}
	inks := slices.Clone(o.Inks)
	slices.Sort(inks)
	halves := make([][]level, min(2, len(inks)))
	for i, ink := range inks {
		if !(ink >= 0 && ink <= 100) {
			return nil, fault.New("", "", fmt.Sprintf("a film ink of %g %%, expected 0 to 100", ink), "")
		}
		k := i % len(halves)
		halves[k] = append(halves[k], o.givenLevel(ink))
	}
	return halves, nil
}

// givenLevel is the level of an ink; on a neutral ramp that of the nearest whole
// printer value.
func (o *RampOptions) givenLevel(ink float64) level {
	at := int(math.Round(ink * fullInk / 100))
	if at == fullInk || !o.straight() || !o.neutral() {
		return level{at, o.deviceAt(at)}
	}
	span := 255 - o.InkColour[0]
	v := 255 - int(math.Round(float64(at)*span/fullInk))
	return o.wholeLevel(max(v, int(math.Ceil(o.InkColour[0]))))
}

// Codes is how many steps of printer value of 8 bits a ramp has from clear film to
// full ink: those of the neutral ramp to its ink colour, 255 of any other. Device is
// that of RampOptions.
func (s Sheet) Codes(device func(inkPercent float64) [3]float64) int {
	o := RampOptions{Sheet: s, Device: device}
	if o.takeDevice() != nil {
		return 255
	}
	return o.mostLevels() - 1
}

// ShownAlways are the film inks, in per cent and with repeats, that each page of a
// ramp shows beside its levels: the patches at its corners.
func ShownAlways() []float64 {
	return []float64{0, 0, 0, 0, 100, 100, 100, 100}
}
