package handout

import (
	"fmt"
	"strings"

	"actinic/process/fault"
)

// Paper is a size of office paper, upright.
type Paper struct {
	Name              string
	WidthMM, HeightMM float64
}

// papers are ISO 216 A4 and the North American letter, 8.5 x 11 in (ANSI/ASME
// Y14.1 A).
var papers = []Paper{{"A4", 210, 297}, {"letter", 215.9, 279.4}}

// PaperNames returns the names that ParsePaper takes.
func PaperNames() []string {
	var names []string
	for _, p := range papers {
		names = append(names, p.Name)
	}
	return names
}

// ParsePaper returns the paper with a name, capitals ignored. Its error is a
// *fault.Error.
func ParsePaper(name string) (Paper, error) {
	for _, p := range papers {
		if strings.EqualFold(p.Name, strings.TrimSpace(name)) {
			return p, nil
		}
	}
	return Paper{}, fault.New("", "paper", fmt.Sprintf("%q is not known", name), "handouts are printed on "+strings.Join(PaperNames(), " or "))
}
