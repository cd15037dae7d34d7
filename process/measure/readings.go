package measure

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/measure/delimited"
	"actinic/process/sensitometry"
)

// fill reads the rows into t and checks them together.
func (g *grid) fill(t *Table) error {
	t.Unit = InLightness
	if g.print == colDensity {
		t.Unit = InDensity
	}
	for _, row := range g.Rows {
		r, err := g.reading(row, t.Unit)
		if err != nil {
			return err
		}
		t.Readings = append(t.Readings, r)
	}
	if err := g.checkRepeats(t.Readings); err != nil {
		return err
	}
	if err := g.checkUnits(t.Readings); err != nil {
		return err
	}
	if g.kind == Tablet {
		if err := g.addSteps(t.Readings); err != nil {
			return err
		}
	}
	t.Notices = g.notices
	return nil
}

// reading returns one row's reading.
func (g *grid) reading(row delimited.Row, unit Unit) (Reading, error) {
	r := Blank()
	r.Line, r.Unit = row.Line, unit
	r.ID = g.text(row, g.id)
	if r.ID == "" {
		return r, g.Fault(row.Line, g.Header[g.col[g.id]], "empty, expected the name of the "+g.id, "")
	}
	r.Strip, r.Flag = g.text(row, colStrip), g.text(row, colFlag)
	if err := g.required(row, &r); err != nil {
		return r, err
	}
	if err := g.optional(row, &r); err != nil {
		return r, err
	}
	return r, g.printValue(row, &r)
}

func (g *grid) text(row delimited.Row, name string) string {
	if !g.has(name) {
		return ""
	}
	return row.Cells[g.col[name]]
}

// required reads the columns that must hold a number in every row once the header
// has them.
func (g *grid) required(row delimited.Row, r *Reading) error {
	r.HasDevice = g.has(colRed)
	switch {
	case g.has(colSeconds):
		r.Exposure.Unit = sensitometry.Seconds
	case g.has(colLampUnits):
		r.Exposure.Unit = sensitometry.LampUnits
	}
	for _, c := range []struct {
		name string
		to   *float64
	}{
		{colTablet, (*float64)(&r.Tablet)}, {colInk, &r.Ink},
		{colRed, &r.Device[0]}, {colGreen, &r.Device[1]}, {colBlue, &r.Device[2]},
		{colSeconds, &r.Exposure.Amount}, {colLampUnits, &r.Exposure.Amount},
	} {
		if !g.has(c.name) {
			continue
		}
		v, err := g.number(row, c.name)
		if err != nil {
			return err
		}
		*c.to = v
	}
	return nil
}

// optional reads the columns whose cells may be empty.
func (g *grid) optional(row delimited.Row, r *Reading) error {
	count := math.NaN()
	for _, c := range []struct {
		name string
		to   *float64
	}{
		{colSD, &r.SD}, {colSpread, &r.Spread}, {colCount, &count},
		{colX, &r.XMM}, {colY, &r.YMM}, {colLabA, &r.LabA}, {colLabB, &r.LabB},
	} {
		if g.text(row, c.name) == "" {
			continue
		}
		v, err := g.number(row, c.name)
		if err != nil {
			return err
		}
		*c.to = v
	}
	if math.IsNaN(count) {
		return nil
	}
	if r.Count = int(count); float64(r.Count) != count {
		return g.Fault(row.Line, g.Header[g.col[colCount]],
			fmt.Sprintf("found %s, expected a whole number", g.text(row, colCount)), "")
	}
	return nil
}

func (g *grid) printValue(row delimited.Row, r *Reading) error {
	v, err := g.number(row, g.print)
	if g.print == colXYZ {
		v = float64(density.Reflectance(v / 100).Lightness())
	}
	r.Value = v
	return err
}

// checkRepeats refuses the same patch twice on a strip.
func (g *grid) checkRepeats(rs []Reading) error {
	type key struct{ strip, id string }
	first := map[key]int{}
	for _, r := range rs {
		k := key{r.Strip, r.ID}
		if line, ok := first[k]; ok {
			what := fmt.Sprintf("%s %s again, first in line %d", g.id, r.ID, line)
			if r.Strip != "" {
				what = fmt.Sprintf("%s %s of strip %s again, first in line %d", g.id, r.ID, r.Strip, line)
			}
			return g.Fault(r.Line, g.Header[g.col[g.id]], what, g.repeatHint())
		}
		first[k] = r.Line
	}
	return nil
}

func (g *grid) repeatHint() string {
	if g.kind == Tablet {
		return "tell several strips apart by a column strip; average repeats and give their sd"
	}
	if g.kind == Patches {
		return "average repeats and give their sd"
	}
	return "give repeated patches of one ink different names"
}
