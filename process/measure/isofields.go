package measure

import (
	"regexp"
	"strings"

	"actinic/process/measure/delimited"
)

// isoColumns gives our name of each field that is read. SAMPLE_ID, D_VIS, LAB_*,
// XYZ_Y and RGB_* are of the standard; the others are private columns, which a
// file declares by KEYWORD. (Undeclared ones are read too.)
var isoColumns = map[string]string{
	"SAMPLE_ID": colPatch, "D_VIS": colDensity, "LAB_L": colLstar, "XYZ_Y": colXYZ,
	"LAB_A": colLabA, "LAB_B": colLabB,
	"RGB_R": colRed, "RGB_G": colGreen, "RGB_B": colBlue,
	"TABLET_DENSITY": colTablet, "STEP_DENSITY": colTablet, "STEP": colStep, "STRIP": colStrip, "INK": colInk,
	"EXPOSURE_S": colSeconds, "EXPOSURE_UNITS": colLampUnits,
	"SD": colSD, "SPREAD": colSpread, "COUNT": colCount, "X_MM": colX, "Y_MM": colY, "FLAG": colFlag,
}

// standardFields are fields of the standard that say nothing of ours. Fields that
// are neither these nor read are named in a notice.
var standardFields = regexp.MustCompile(`^(SAMPLE_NAME|STRING|D_(RED|GREEN|BLUE|MAJOR_FILTER)|CMYK_[CMYK]|XYZ_[XZ]|XYY_.*|LAB_(C|H|DE.*)|` +
	`(SPEC|SPECTRAL|NM).*|MEAN_DE|STDEV_.*|CHI_SQD_PAR)$`)

// fromISO reads the table of ISO 28178 text and tells its kind by its fields.
func (g *grid) fromISO(text *delimited.Text) error {
	var err error
	if g.Table, err = isoTable(text); err != nil {
		return err
	}
	g.id = colPatch
	if err := g.mapFields(); err != nil {
		return err
	}
	if !g.has(colPatch) {
		return g.Fault(g.HeaderLine, "", "no field SAMPLE_ID", "")
	}
	if err := g.isoKind(); err != nil {
		return err
	}
	if g.has(colStep) {
		g.id = colStep
	}
	if g.has(colStrip) && g.kind != Tablet {
		g.notices = append(g.notices, "STRIP is not used: it tells step tablets apart")
		delete(g.col, colStrip)
	}
	if err := g.isoPrint(); err != nil {
		return err
	}
	return g.checkGroups()
}

func (g *grid) mapFields() error {
	var unused []string
	for i, field := range g.Header {
		name, ok := isoColumns[strings.ToUpper(field)]
		if !ok {
			if !standardFields.MatchString(strings.ToUpper(field)) {
				unused = append(unused, field)
			}
			continue
		}
		if g.has(name) {
			return g.Fault(g.HeaderLine, field, "means the same as "+g.Header[g.col[name]], "delete one of them")
		}
		g.col[name] = i
	}
	if unused != nil {
		g.notices = append(g.notices, "fields not used: "+strings.Join(unused, ", "))
	}
	return nil
}

func (g *grid) isoKind() error {
	isTablet := g.has(colTablet) || g.has(colStep)
	isExposures := g.has(colSeconds) || g.has(colLampUnits)
	switch {
	case isExposures && (isTablet || g.has(colInk) || g.has(colRed) || g.has(colGreen) || g.has(colBlue)):
		return g.Fault(g.HeaderLine, "", "exposures, and fields of a tablet, a ramp or ink colours, expected one of them", "put each in a file of its own")
	case isTablet && g.has(colInk):
		return g.Fault(g.HeaderLine, "", "fields of a tablet and of a ramp (INK), expected one of them", "put each in a file of its own")
	case isTablet:
		g.kind = Tablet
	case g.has(colInk):
		g.kind = Ramp
	case g.has(colRed), g.has(colGreen), g.has(colBlue):
		g.kind = Colours
	case isExposures:
		g.kind = Exposures
	case g.tablet != nil:
		g.kind = Tablet
	case g.byPatch:
		g.kind = Patches
	default:
		return g.Fault(g.HeaderLine, "", "no field that tells what was measured",
			"add a private column by KEYWORD: TABLET_DENSITY (a tablet) or INK (a ramp); or RGB_R RGB_G RGB_B (ink colours); or, for a tablet read in order, --steps 21x0.15+0.05")
	}
	return nil
}

// isoPrint chooses the field of the print: density before L* before XYZ_Y.
func (g *grid) isoPrint() error {
	for _, name := range []string{colDensity, colLstar, colXYZ} {
		if !g.has(name) {
			continue
		}
		if g.print == "" {
			g.print = name
			continue
		}
		g.notices = append(g.notices, g.Header[g.col[name]]+" is not used: "+g.Header[g.col[g.print]]+" gives the print")
	}
	if g.print == "" {
		return g.Fault(g.HeaderLine, "", "no field D_VIS, LAB_L or XYZ_Y", "export the visual density or L* of the print")
	}
	for _, name := range []string{colSD, colSpread} {
		if g.print == colXYZ && g.has(name) {
			return g.Fault(g.HeaderLine, g.Header[g.col[name]], "cannot belong to XYZ_Y", "give LAB_L or D_VIS with it")
		}
	}
	return nil
}
