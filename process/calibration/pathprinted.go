package calibration

import (
	"fmt"
	"math"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/printer"
)

// PrintedPath returns the way through printer RGB by which ramps of readings were
// printed, of the two that an inks file knows: its ink blend, or the straight way
// to its ink colour. It fails with a *fault.Error that names the first patch on
// neither.
func (k *Inks) PrintedPath(ramps []*measure.Table) (printer.Path, error) {
	blend, err := k.Path(false)
	if err != nil {
		return nil, err
	}
	off := checkPath(ramps, blend)
	if off == nil {
		return blend, nil
	}
	if straight, err := k.Path(true); err == nil && checkPath(ramps, straight) == nil {
		return straight, nil
	}
	return nil, off
}

// checkPath fails where a reading's code values lie off a path by more than
// rounding to whole codes.
func checkPath(ramps []*measure.Table, path printer.Path) error {
	for _, t := range ramps {
		for _, r := range t.Readings {
			if !r.HasDevice {
				return fault.New(t.File, "patch "+r.ID, "has no red, green and blue, so that nothing shows whether it was printed with the ink colour of the inks file",
					"use the readings that 'actinic read' writes, or leave out the inks file")
			}
			want := path.At(r.Ink)
			for c, v := range want {
				if !(math.Abs(v-r.Device[c]) <= straightLine) {
					return fault.New(t.File, "patch "+r.ID, fmt.Sprintf("was printed as RGB %g, %g, %g; at %g %% ink the inks file has %.1f, %.1f, %.1f",
						r.Device[0], r.Device[1], r.Device[2], r.Ink, want[0], want[1], want[2]),
						"give the inks file that the chart was made with, or leave it out: then the readings' own code values count")
				}
			}
		}
	}
	return nil
}

// path is the way through printer RGB of a calibration: the one asked for, held
// against the ramps, or that of the ramps.
func (rq Request) path(ramps []*measure.Table) ([]PathNode, error) {
	if rq.Path == nil {
		return PathOf(ramps)
	}
	return rq.Path, checkPath(ramps, rq.Path)
}
