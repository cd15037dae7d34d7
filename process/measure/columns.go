package measure

import (
	"fmt"

	"actinic/process/measure/delimited"
	"actinic/process/tablet"
)

// Columns by the names that CSV gives them. colXYZ comes from ISO 28178 text
// only.
const (
	colStep       = "step"
	colTablet     = "tablet_density"
	colStrip      = "strip"
	colPatch      = "patch"
	colInk        = "ink"
	colRed        = "red"
	colGreen      = "green"
	colBlue       = "blue"
	colDensity    = "print_density"
	colLstar      = "print_lstar"
	colSD         = "sd"
	colSpread     = "spread"
	colCount      = "count"
	colX          = "x_mm"
	colY          = "y_mm"
	colFlag       = "flag"
	colSeconds    = "exposure_s"
	colLampUnits  = "exposure_units"
	colWavelength = "wavelength_nm"
	colXYZ        = "xyz_y"
	colLabA       = "print_a"
	colLabB       = "print_b"
)

var (
	deviceColumns   = []string{colRed, colGreen, colBlue}
	positionColumns = []string{colX, colY}
	exposureColumns = []string{colSeconds, colLampUnits}
	printColumns    = []string{colDensity, colLstar}
	colourColumns   = []string{colLabA, colLabB}
	optionalColumns = []string{colLabA, colLabB, colSD, colSpread, colCount, colX, colY, colFlag}
)

// columnsOf lists the columns that a CSV file of a kind may have: those it must
// have first.
func columnsOf(k Kind) (must, may []string) {
	may = append(append(may, printColumns...), optionalColumns...)
	switch k {
	case Tablet:
		return []string{colStep}, append([]string{colTablet, colStrip}, may...)
	case Ramp:
		return []string{colPatch, colInk}, append(append([]string{}, deviceColumns...), may...)
	case Exposures:
		return []string{colPatch}, append(append([]string{}, exposureColumns...), may...)
	case Patches:
		return []string{colPatch}, may
	}
	return append([]string{colPatch}, deviceColumns...), may
}

// grid is a table of text whose columns are known: the common form of CSV and
// ISO 28178 on the way to readings.
type grid struct {
	*delimited.Table
	kind    Kind
	col     map[string]int // index by our column name
	id      string         // the column that names a patch
	print   string         // the column of the print
	tablet  *tablet.Tablet // from the options; nil if none
	byPatch bool           // from the options
	notices []string
}

func (g *grid) has(name string) bool { _, ok := g.col[name]; return ok }

// fromCSV tells the kind of a CSV file by its header and checks its columns.
func (g *grid) fromCSV(text *delimited.Text) error {
	var err error
	if g.Table, err = text.Table(); err != nil {
		return err
	}
	if g.kind, err = g.kindOf(); err != nil || g.kind == Spectra {
		return err
	}
	must, may := columnsOf(g.kind)
	if err := g.CheckColumns(append(append([]string{}, must...), may...)); err != nil {
		return err
	}
	for _, name := range append(must, may...) {
		if i := g.Column(name); i >= 0 {
			g.col[name] = i
		}
	}
	g.id = must[0]
	for _, name := range must {
		if !g.has(name) {
			return g.missing(name)
		}
	}
	return g.checkHeader()
}

func (g *grid) missing(name string) error {
	return g.Fault(g.HeaderLine, "", fmt.Sprintf("no column %s, expected in readings of %v", name, g.kind), "")
}

// kindOf tells what the header promises by the column that only one kind has.
func (g *grid) kindOf() (Kind, error) {
	has := func(name string) bool { return g.Column(name) >= 0 }
	switch {
	case has(colWavelength):
		return Spectra, nil
	case has(colStep), has(colTablet):
		return Tablet, nil
	case has(colInk):
		return Ramp, nil
	case has(colRed), has(colGreen), has(colBlue):
		return Colours, nil
	case has(colSeconds), has(colLampUnits):
		return Exposures, nil
	case g.byPatch:
		return Patches, nil
	}
	known := append([]string{colStep, colTablet, colStrip, colPatch, colInk, colWavelength}, deviceColumns...)
	known = append(append(append(known, printColumns...), optionalColumns...), exposureColumns...)
	if err := g.CheckColumns(known); err != nil {
		return 0, err
	}
	return 0, g.Fault(g.HeaderLine, "", "no column that tells what was measured",
		"expected step (a tablet), ink (a ramp), red,green,blue (ink colours), exposure_s (a test strip) or wavelength_nm (spectra)")
}

// checkHeader wants one print column, and red, green, blue, x, y and a, b together.
func (g *grid) checkHeader() error {
	switch {
	case g.has(colDensity) && g.has(colLstar):
		return g.Fault(g.HeaderLine, "", "both print_density and print_lstar, expected exactly one", "delete the column that was not measured")
	case g.has(colDensity):
		g.print = colDensity
	case g.has(colLstar):
		g.print = colLstar
	default:
		return g.Fault(g.HeaderLine, "", "no column print_density or print_lstar", "give the print as density or as L*, in exactly one of them")
	}
	return g.checkGroups()
}

func (g *grid) checkGroups() error {
	for _, group := range [][]string{deviceColumns, positionColumns, colourColumns} {
		n := 0
		for _, name := range group {
			if g.has(name) {
				n++
			}
		}
		if n == 0 || n == len(group) {
			continue
		}
		for _, name := range group {
			if !g.has(name) {
				return g.Fault(g.HeaderLine, "", fmt.Sprintf("no column %s, expected all of %v or none", name, group), "")
			}
		}
	}
	if g.has(colSeconds) && g.has(colLampUnits) {
		return g.Fault(g.HeaderLine, "", "exposures in seconds and in lamp units, expected exactly one",
			"keep the one that tells how much light the paper was given")
	}
	if g.kind == Ramp && !g.has(colRed) {
		g.notices = append(g.notices, "no red, green, blue columns: taken as the neutral ramp, from white to black")
	}
	return nil
}
