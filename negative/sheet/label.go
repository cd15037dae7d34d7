package sheet

import (
	"fmt"
	"slices"
	"strings"

	"actinic/negative/typeface"
)

// labelLines returns the label in as many lines as the width makes of it, and the
// letters that no font has.
func labelLines(it Item, f *face, widthMM float64) (lines []string, missing []rune) {
	l := it.Label
	var parts []string
	for _, text := range []string{it.Person, l.Name, sizeText(it.WidthMM, it.HeightMM), l.Process, l.Date, l.Calibration} {
		shown, lacking := f.clean(text)
		parts = append(parts, shown)
		for _, r := range lacking {
			if !slices.Contains(missing, r) {
				missing = append(missing, r)
			}
		}
	}
	return f.join(parts, labelPt, widthMM), missing
}

// missingNotice says which letters of a label are shown as an empty box; "" where
// none is.
func missingNotice(p Placement) string {
	if len(p.block.missing) == 0 {
		return ""
	}
	var codes []string
	for _, r := range p.block.missing {
		codes = append(codes, fmt.Sprintf("%c (U+%04X)", r, r))
	}
	return fmt.Sprintf("label of %s: no built-in font has %s: an empty box is printed instead",
		typeface.Clean(joinFilled(p.Item.Person, p.Item.Label.Name)), strings.Join(codes, ", "))
}
