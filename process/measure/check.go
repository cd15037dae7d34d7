package measure

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/stat"

	"actinic/process/fault"
)

// CheckKind returns an error unless t holds one of the kinds wanted.
func CheckKind(t *Table, want ...Kind) error {
	if slices.Contains(want, t.Kind) {
		return nil
	}
	var names []string
	for _, k := range want {
		names = append(names, k.String())
	}
	return fault.New(t.File, "", fmt.Sprintf("holds %v, expected %s", t.Kind, strings.Join(names, " or ")),
		"check which file goes with which flag")
}

// CheckCount returns an error if t has fewer than need different levels: tablet
// densities, inks, exposures, colours or wavelengths. why says what needs them and stands at
// the end of the message: "the characteristic curve needs them".
func CheckCount(t *Table, need int, why string) error {
	got, noun := levels(t)
	if got >= need {
		return nil
	}
	return fault.New(t.File, "", fmt.Sprintf("%d different %s, expected at least %d: %s", got, noun, need, why),
		"read more patches of the print")
}

func levels(t *Table) (int, string) {
	seen := map[[3]float64]bool{}
	for _, r := range t.Readings {
		switch t.Kind {
		case Tablet:
			seen[[3]float64{float64(r.Tablet)}] = true
		case Ramp:
			seen[[3]float64{r.Ink}] = true
		case Exposures:
			seen[[3]float64{r.Exposure.Amount}] = true
		default:
			seen[r.Device] = true
		}
	}
	switch t.Kind {
	case Tablet:
		return len(seen), "tablet densities"
	case Ramp:
		return len(seen), "inks"
	case Colours:
		return len(seen), "colours"
	case Exposures:
		return len(seen), "exposures"
	}
	return len(t.WavelengthsNM), "wavelengths"
}

// A rank correlation beyond this is a direction, not noise; with fewer readings
// than minForSense none is told.
const (
	clearSense  = 0.5
	minForSense = 4
)

// CheckSense returns an error if the readings run the wrong way overall. falling
// says that the print is to get lighter as the tablet or the ink gets denser, or
// the exposure shorter, as in every process that darkens with exposure. Kinds
// without an order pass, and so do readings too few or too scattered to tell.
//
// The measure is Spearman's rank correlation, ties at their mean rank (Spearman
// 1904).
func CheckSense(t *Table, falling bool) error {
	if len(t.Readings) < minForSense || (t.Kind != Tablet && t.Kind != Ramp && t.Kind != Exposures) {
		return nil
	}
	stop, dark := make([]float64, len(t.Readings)), make([]float64, len(t.Readings))
	noun := "ink rises"
	for i, r := range t.Readings {
		stop[i], dark[i] = r.Ink, -float64(r.Lightness())
		switch t.Kind {
		case Tablet:
			stop[i], noun = float64(r.Tablet), "tablet density rises"
		case Exposures:
			stop[i], noun = -r.Exposure.Amount, "exposure gets shorter"
		}
	}
	rho := stat.Correlation(ranks(stop), ranks(dark), nil)
	if math.IsNaN(rho) || (falling && rho < clearSense) || (!falling && rho > -clearSense) {
		return nil
	}
	found, want := "darker", "lighter"
	if !falling {
		found, want = want, found
	}
	return fault.New(t.File, "", fmt.Sprintf("the print gets %s as the %s, expected %s", found, noun, want), senseHint)
}

const senseHint = "were the patches numbered from the wrong end, two columns swapped, or the film read instead of the print? Does the process work the other way round (see its process card)?"

// ranks returns the rank of each value from 1, ties at their mean.
func ranks(v []float64) []float64 {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return v[order[a]] < v[order[b]] })
	out := make([]float64, len(v))
	for from := 0; from < len(order); {
		to := from
		for to < len(order) && v[order[to]] == v[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			out[i] = float64(from+to+1) / 2
		}
		from = to
	}
	return out
}
