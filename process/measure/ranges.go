package measure

import (
	"fmt"
	"math"

	"actinic/process/measure/delimited"
	"actinic/process/sensitometry"
)

// bounds is what a column may hold.
type bounds struct {
	want        string // reads on from "expected"
	low, high   float64
	below, over string // hints
}

// Densities end at 6: no print and no tablet that can be printed through reads
// higher, and most L* does (our own bound).
var columnBounds = map[string]bounds{
	colDensity: {"a print density, 0 to 6", 0, 6,
		"measure with the paper included: zero the instrument on its own white, not on the paper",
		"this looks like L*: call the column print_lstar"},
	colLstar:  {"L*, 0 to 100", 0, 100, "", ""},
	colXYZ:    {"XYZ_Y, 0 to 100", 0, 100, "", ""},
	colTablet: {"a tablet density, 0 to 6", 0, 6, "", "give transmission densities, not step numbers"},
	colInk: {"film ink in per cent, 0 (clear) to 100", 0, 100, "",
		"give per cent of the full ink colour, not printer code values"},
	colRed:       {"a printer code value, 0 to 255", 0, 255, "", "divide 16-bit code values by 257"},
	colGreen:     {"a printer code value, 0 to 255", 0, 255, "", "divide 16-bit code values by 257"},
	colBlue:      {"a printer code value, 0 to 255", 0, 255, "", "divide 16-bit code values by 257"},
	colSeconds:   {"seconds, 0 (unexposed paper) or more", 0, sensitometry.MostExposure, "", "give seconds"},
	colLampUnits: {"lamp units, 0 (unexposed paper) or more", 0, sensitometry.MostExposure, "", ""},
	colSD:        {"a standard uncertainty, 0 or more", 0, math.Inf(1), "", ""},
	colSpread:    {"a standard deviation, 0 or more", 0, math.Inf(1), "", ""},
	colCount: {"a count, 1 or more", 1, 1e9,
		"leave the cell empty where there is no count", ""},
	colX:          {"millimetres", math.Inf(-1), math.Inf(1), "", ""},
	colY:          {"millimetres", math.Inf(-1), math.Inf(1), "", ""},
	colLabA:       {"a*, -200 to 200", -200, 200, "", ""},
	colLabB:       {"b*, -200 to 200", -200, 200, "", ""},
	colWavelength: {"a wavelength in nm, 100 to 20000", 100, 20000, "give nanometres", "give nanometres"},
}

// number returns the checked number in a column of a row.
func (g *grid) number(row delimited.Row, name string) (float64, error) {
	return boundedNumber(g.Table, row, g.col[name], columnBounds[name])
}

func boundedNumber(t *delimited.Table, row delimited.Row, col int, b bounds) (float64, error) {
	v, err := t.Number(row, col, b.want)
	if err != nil {
		return 0, err
	}
	hint := b.below
	switch {
	case v > b.high:
		hint = b.over
	case v >= b.low:
		return v, nil
	}
	return 0, t.Fault(row.Line, t.Header[col], fmt.Sprintf("found %s, expected %s", row.Cells[col], b.want), hint)
}

// A column of at least this many different values says by its range alone that it
// is in another unit; fewer could be a few dark or clear patches.
const enoughToJudge = 3

// checkUnits refuses columns whose values all lie where another unit would put
// them.
func (g *grid) checkUnits(rs []Reading) error {
	one := func(name string, limit float64, get func(Reading) float64, hint string) error {
		if !g.has(name) || !allBelow(rs, limit, get) {
			return nil
		}
		return g.Fault(g.HeaderLine, g.Header[g.col[name]],
			fmt.Sprintf("no value above %g, expected %s", limit, columnBounds[name].want), hint)
	}
	value := func(r Reading) float64 { return r.Value }
	var err error
	switch g.print {
	case colLstar:
		err = one(colLstar, 4, value, "these look like densities: call the column print_density")
	case colXYZ:
		// XYZ_Y 1 has L* 8.99: no print is that dark all over.
		err = one(colXYZ, 1, func(r Reading) float64 { return 100 * float64(r.Lightness().Reflectance()) },
			"XYZ_Y is in per cent, not 0 to 1")
	}
	if err != nil || g.kind == Tablet {
		return err
	}
	if err := one(colInk, 1, func(r Reading) float64 { return r.Ink }, "ink is in per cent, not 0 to 1"); err != nil {
		return err
	}
	return one(colRed, 1, brightest, "code values run from 0 to 255, not from 0 to 1")
}

func brightest(r Reading) float64 { return max(r.Device[0], r.Device[1], r.Device[2]) }

// allBelow reports whether at least enoughToJudge different values all lie from 0
// to limit.
func allBelow(rs []Reading, limit float64, get func(Reading) float64) bool {
	seen := map[float64]bool{}
	for _, r := range rs {
		v := get(r)
		if v > limit {
			return false
		}
		seen[v] = true
	}
	return len(seen) >= enoughToJudge
}
