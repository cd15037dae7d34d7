package recipe

import "slices"

// HazardStatement is one statement of the UN GHS (or of the EU's supplement to
// it, codes EUH...) in words, with the pictogram and signal word of the class
// it belongs to. Both are empty where the class has none.
type HazardStatement struct {
	Code       string `json:"code"`
	Text       string `json:"text"`
	Pictogram  string `json:"pictogram"`
	SignalWord string `json:"signal_word"`
	Source     Source `json:"source"`
}

// HazardStatements returns every statement that the chemicals use, by code.
func HazardStatements() []HazardStatement {
	return append([]HazardStatement(nil), data().statements...)
}

// FindHazardStatement returns the statement with the code, and whether it is known.
func FindHazardStatement(code string) (HazardStatement, bool) {
	return findStatement(data().statements, code)
}

func findStatement(all []HazardStatement, code string) (HazardStatement, bool) {
	i := slices.IndexFunc(all, func(s HazardStatement) bool { return s.Code == code })
	if i < 0 {
		return HazardStatement{}, false
	}
	return all[i], true
}

// pictogramNames are the symbols' names (UN GHS Annex 1, from memory); the
// GHS01..GHS09 codes are the UN's file names for them.
var pictogramNames = map[string]string{
	"GHS01": "exploding bomb",
	"GHS02": "flame",
	"GHS03": "flame over circle",
	"GHS04": "gas cylinder",
	"GHS05": "corrosion",
	"GHS06": "skull and crossbones",
	"GHS07": "exclamation mark",
	"GHS08": "health hazard",
	"GHS09": "environment",
}

// PictogramName returns a pictogram's name in words, "" for an unknown code.
func PictogramName(code string) string { return pictogramNames[code] }

// HazardLevel ranks a process by the worst of its chemicals.
type HazardLevel string

// The hazard levels. They are this program's own sorting, not a GHS term.
const (
	LowHazard    HazardLevel = "low"
	MediumHazard HazardLevel = "medium" // burns skin or damages eyes
	HighHazard   HazardLevel = "high"   // poison, or lasting harm: cancer, heredity, unborn child, lungs, organs
)

// levelOfCode holds the statements that lift a process above the low level.
var levelOfCode = map[string]HazardLevel{
	"H300": HighHazard, "H301": HighHazard, "H310": HighHazard, "H330": HighHazard,
	"H334": HighHazard, "H340": HighHazard, "H350": HighHazard, "H360": HighHazard,
	"H360FD": HighHazard, "H372": HighHazard,
	"H314": MediumHazard, "H318": MediumHazard, "H271": MediumHazard,
}

// hazardLevel returns the level of one chemical, as classified without the
// variants that only some suppliers give.
func (c Chemical) hazardLevel() HazardLevel {
	level := LowHazard
	for _, code := range c.Statements {
		level = worse(level, levelOfCode[code])
	}
	return level
}

// worse returns the higher of two levels; an unset one ranks lowest.
func worse(a, b HazardLevel) HazardLevel {
	rank := map[HazardLevel]int{LowHazard: 1, MediumHazard: 2, HighHazard: 3}
	if rank[b] > rank[a] {
		return b
	}
	return a
}
