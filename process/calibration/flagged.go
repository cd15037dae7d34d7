package calibration

import (
	"fmt"
	"math"
	"strings"

	"actinic/process/measure"
)

// Flagged is a reading whose file says that it is not to be trusted, and why.
type Flagged struct {
	File string `json:"file"`
	ID   string `json:"id"`
	Flag string `json:"flag"`
}

// FlaggedTable lists the flagged readings of a table. Used says that they were
// fitted all the same, because too few would be left without them.
type FlaggedTable struct {
	Readings []Flagged
	Used     bool
}

// leaveOutFlagged returns prints without the readings that carry a flag.
func leaveOutFlagged(prints []Print) ([]Print, []FlaggedTable) {
	var all []FlaggedTable
	kept := make([]Print, len(prints))
	for k, p := range prints {
		kept[k] = p
		for _, t := range []**measure.Table{&kept[k].Tablet, &kept[k].Ramp} {
			if *t == nil {
				continue
			}
			rest, flagged := splitFlagged(*t)
			if flagged.Readings == nil {
				continue
			}
			if flagged.Used = !enough(rest, *t); !flagged.Used {
				*t = rest
			}
			all = append(all, flagged)
		}
	}
	return kept, all
}

func splitFlagged(t *measure.Table) (*measure.Table, FlaggedTable) {
	rest := *t
	rest.Readings = nil
	var flagged FlaggedTable
	for _, r := range t.Readings {
		if r.Flag == "" {
			rest.Readings = append(rest.Readings, r)
		} else {
			flagged.Readings = append(flagged.Readings, Flagged{t.Name, r.ID, r.Flag})
		}
	}
	return &rest, flagged
}

// enough says whether what is left of a table makes a curve: levels enough, and
// a ramp's ends where it had them.
func enough(rest, whole *measure.Table) bool {
	if whole.Kind == measure.Tablet {
		return measure.CheckCount(rest, leastSteps, "") == nil
	}
	if measure.CheckCount(rest, leastLevels, "") != nil {
		return false
	}
	low, high := inkEnds(rest)
	first, last := inkEnds(whole)
	return (low <= mostLowInk || first > mostLowInk) && (high >= leastHighInk || last < leastHighInk)
}

// inkEnds returns the least and the most film ink of a ramp.
func inkEnds(t *measure.Table) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range t.Readings {
		low, high = math.Min(low, r.Ink), math.Max(high, r.Ink)
	}
	return low, high
}

// mostNamed is how many readings a sentence names.
const mostNamed = 8

// String says which readings are meant and what was done with them.
func (f FlaggedTable) String() string {
	var names []string
	for _, r := range f.Readings[:min(len(f.Readings), mostNamed)] {
		names = append(names, fmt.Sprintf("%s (%s)", r.ID, r.Flag))
	}
	if more := len(f.Readings) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	readings := "readings are"
	if len(f.Readings) == 1 {
		readings = "reading is"
	}
	outcome := "left out"
	if f.Used {
		outcome = "used all the same, because too few would be left without"
	}
	return fmt.Sprintf("%s: %d %s flagged and %s: %s.", f.Readings[0].File, len(f.Readings), readings, outcome, strings.Join(names, ", "))
}
