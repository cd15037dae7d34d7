package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"actinic/process/fault"
)

// rollForm is the width of a roll and perhaps the longest page cut off it.
var rollForm = regexp.MustCompile(`^roll:([0-9]+(?:[.,][0-9]+)?)(?:x([0-9]+(?:[.,][0-9]+)?))?\s*(mm|cm|in|")$`)

// ParseFilmOrRoll returns what ParseFilm does, or a roll: "roll:610mm" or
// "roll:24in" is its width, "roll:610x1200mm" its width and the longest page;
// without, a page may be as long as a PDF page can. It fails with *fault.Error.
func ParseFilmOrRoll(name string) (Film, error) {
	text := strings.ToLower(strings.TrimSpace(name))
	if !strings.HasPrefix(text, "roll") {
		return ParseFilm(name)
	}
	m := rollForm.FindStringSubmatch(text)
	if m == nil {
		return Film{}, rollFault(name, "is not roll: and a width with its unit")
	}
	f := Film{Name: "roll", HeightMM: mostSideMM, MarginMM: defaultMarginMM, Roll: true}
	for i, to := range []*float64{&f.WidthMM, &f.HeightMM} {
		if m[i+1] == "" {
			continue
		}
		v, err := strconv.ParseFloat(strings.Replace(m[i+1], ",", ".", 1), 64)
		if *to = v * unitMM[m[3]]; err != nil || !sideFits(*to) {
			return Film{}, rollFault(name, fmt.Sprintf("has a side outside %d to %d mm", leastSideMM, mostSideMM))
		}
	}
	return f, nil
}

func rollFault(name, what string) error {
	return fault.New("", "", fmt.Sprintf("film %q %s", name, what), "write it as roll:610mm, roll:24in, or with the longest page as roll:610x1200mm")
}
