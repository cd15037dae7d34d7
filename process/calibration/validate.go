package calibration

import (
	"fmt"

	"actinic/process/fault"
)

// check refuses a calibration whose numbers do not hang together.
func (c *Calibration) check(name string) error {
	bad := func(where, what string) error {
		return fault.New(name, where, what, "use the file as `actinic curve` wrote it")
	}
	n := len(c.Curve.Tone)
	if n < 2 || len(c.Curve.Ink) != n || len(c.Curve.ToneSD) != n || len(c.Curve.PrintSD) != n || len(c.Curve.AimLstar) != n {
		return bad("field curve", fmt.Sprintf("expected at least 2 nodes of equal number in each column, found %d tones", n))
	}
	if c.Curve.UVDensity != nil && len(c.Curve.UVDensity) != n {
		return bad("field curve.uv_density", "expected as many nodes as tones, or null")
	}
	if c.Curve.Tone[0] != 0 || c.Curve.Tone[n-1] != 100 {
		return bad("field curve.tone", "expected 0 to 100")
	}
	if !strictlyRising(c.Curve.Tone) || !strictlyMonotone(c.Curve.Ink) {
		return bad("field curve", "expected tone to rise and ink to run one way throughout")
	}
	if !within(c.Curve.Ink, 0, 100) {
		return bad("field curve.ink", "expected 0 to 100 %")
	}
	if err := c.Conditions.check(bad); err != nil {
		return err
	}
	if err := c.Characteristic.check(bad); err != nil {
		return err
	}
	if err := c.Quality.Unevenness.check(bad); err != nil {
		return err
	}
	if err := c.checkInk(bad); err != nil {
		return err
	}
	return c.Doubt.check(len(c.Ink.Percent), bad)
}

// mostPrintDensity is beyond every print on paper (a working value of ours).
const mostPrintDensity = 10

func (k *Characteristic) check(bad func(where, what string) error) error {
	if k == nil {
		return nil
	}
	n := len(k.LogExposure)
	if n < 2 || len(k.PrintDensity) != n || len(k.PrintDensitySD) != n || !strictlyRising(k.LogExposure) {
		return bad("field characteristic", "expected columns of equal length, log exposure rising")
	}
	if !within(k.PrintDensity, -1, mostPrintDensity) || !within(k.PrintDensitySD, 0, mostPrintDensity) {
		return bad("field characteristic.print_density", fmt.Sprintf("expected densities of -1 to %d, and doubts of 0 or more", mostPrintDensity))
	}
	return nil
}

func (c *Calibration) checkInk(bad func(where, what string) error) error {
	n := len(c.Ink.Percent)
	if n < 2 || c.Ink.Percent[0] != 0 || c.Ink.Percent[n-1] != 100 || !strictlyRising(c.Ink.Percent) {
		return bad("field ink.percent", "expected to rise from 0 to 100")
	}
	if len(c.Ink.PrintLstar) != n || len(c.Ink.PrintSD) != n || !strictlyMonotone(c.Ink.PrintLstar) || !within(c.Ink.PrintLstar, 0, 110) {
		return bad("field ink.print_lstar", "expected as many nodes as percents, running one way")
	}
	if c.Ink.UVDensity != nil && (len(c.Ink.UVDensity) != n || len(c.Ink.SD) != n || !strictlyRising(c.Ink.UVDensity)) {
		return bad("field ink.uv_density", "expected to rise, as many nodes as percents, or null")
	}
	k := len(c.Ink.Path)
	if k < 2 || c.Ink.Path[0].Percent != 0 || c.Ink.Path[k-1].Percent != 100 {
		return bad("field ink.path", "expected at least two nodes from 0 to 100 %")
	}
	for i, p := range c.Ink.Path {
		if i > 0 && p.Percent <= c.Ink.Path[i-1].Percent {
			return bad("field ink.path", "expected percents that rise")
		}
		if !within([]float64{p.Red, p.Green, p.Blue}, 0, 255) {
			return bad("field ink.path", "expected code values of 0 to 255")
		}
	}
	return nil
}

func strictlyRising(v []float64) bool {
	for i := 1; i < len(v); i++ {
		if !(v[i] > v[i-1]) {
			return false
		}
	}
	return true
}

func strictlyMonotone(v []float64) bool {
	if strictlyRising(v) {
		return true
	}
	for i := 1; i < len(v); i++ {
		if !(v[i] < v[i-1]) {
			return false
		}
	}
	return true
}

func within(v []float64, low, high float64) bool {
	for _, x := range v {
		if !(x >= low && x <= high) {
			return false
		}
	}
	return true
}
