package calibration

import (
	"math"
	"slices"

	"actinic/process/fault"
)

// ReuseInks is Reuse with what an inks file tells of the ink colour chosen there:
// UV density along its ink blend as the printer's model predicts it, up to what the
// prints of colours showed.
func (e *Estimate) ReuseInks(k *Inks, rq Request) (*Calibration, error) {
	if !e.HasTablet() {
		return nil, errNeedsTablet
	}
	path, err := k.Path(false)
	if err != nil {
		return nil, err
	}
	m, err := k.Model()
	if err != nil {
		return nil, err
	}
	ink := &Ink{Path: path}
	reach, shared := 0.0, k.sharedSD()
	for i := range inkNodes {
		percent := 100 * float64(i) / (inkNodes - 1)
		uv, sd := m.UVDensity(path.At(percent))
		if i == 0 {
			uv = 0
		} else if last := ink.UVDensity[i-1]; uv <= last {
			uv = last + leastRise // a dip smaller than its doubt, or no ink added
		}
		if uv <= k.Quality.High {
			reach = percent
		}
		ink.Percent, ink.UVDensity, ink.SD = append(ink.Percent, percent), append(ink.UVDensity, uv), append(ink.SD, math.Hypot(sd, shared))
	}
	if reach == 0 {
		return nil, fault.New("", "", "the prints of colours show nothing of the ink colour", "print the colours with another exposure")
	}
	return e.print(&otherInk{ink, reach, "a chart of colours", math.NaN()}, rq)
}

// sharedSD is the part of the colours' doubt that all have in common and the model
// does not know of: the middle one of the colours read.
func (k *Inks) sharedSD() float64 {
	var all []float64
	for _, c := range k.Colours {
		if c.SD != nil && c.PatchSD != nil {
			all = append(all, math.Sqrt(math.Max(0, *c.SD**c.SD-*c.PatchSD**c.PatchSD)))
		}
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// leastRise keeps UV density rising along an ink ramp.
const leastRise = 1e-6
