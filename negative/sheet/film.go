package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"actinic/process/fault"
)

const mmPerInch = 25.4

// defaultMarginMM is what sheet printers leave blank along each side of a
// sheet: about 3 mm (common practice, from memory).
const defaultMarginMM = 3

// The side of a film or picture, in millimetres: below the least nothing can
// be labelled, above the most a PDF page cannot be (14400 points of 1/72 inch,
// ISO 32000-1:2008 annex C, table C.1).
const (
	leastSideMM = 5
	mostSideMM  = 5080
)

// Film is a sheet of film as it goes through the printer, upright.
type Film struct {
	Name              string
	WidthMM, HeightMM float64
	MarginMM          float64 // what the printer leaves blank along each side
	// Roll is for film cut off a roll WidthMM wide: each page is as long as what
	// lies on it needs, HeightMM at most.
	Roll bool
}

// films are the sheets known by name, smallest first. A sizes: ISO 216:2007.
// SRA3: ISO 217:2013, from memory. Letter, legal and tabloid: ANSI/ASME Y14.1 and common practice. A3+:
// common practice, from memory.
var films = []Film{
	sheetOf("4x5in", 4*mmPerInch, 5*mmPerInch),
	sheetOf("5x7in", 5*mmPerInch, 7*mmPerInch),
	sheetOf("A5", 148, 210),
	sheetOf("8x10in", 8*mmPerInch, 10*mmPerInch),
	sheetOf("letter", 8.5*mmPerInch, 11*mmPerInch),
	sheetOf("A4", 210, 297),
	sheetOf("legal", 8.5*mmPerInch, 14*mmPerInch),
	sheetOf("11x14in", 11*mmPerInch, 14*mmPerInch),
	sheetOf("tabloid", 11*mmPerInch, 17*mmPerInch),
	sheetOf("A3", 297, 420),
	sheetOf("SRA3", 320, 450),
	sheetOf("A3+", 329, 483),
	sheetOf("A2", 420, 594),
}

func sheetOf(name string, widthMM, heightMM float64) Film {
	return Film{Name: name, WidthMM: widthMM, HeightMM: heightMM, MarginMM: defaultMarginMM}
}

// FilmNames returns the names that ParseFilm knows, smallest film first.
func FilmNames() []string {
	names := make([]string, len(films))
	for i, f := range films {
		names[i] = f.Name
	}
	return names
}

// ParseFilm returns the film called name ("A4", "letter", in any case; a known
// size in inches needs no unit, "8x10") or of the size that name gives with its
// unit ("200x250mm", "16x20in"). The margin is 3 mm. It fails with *fault.Error,
// whose hint lists the names.
func ParseFilm(name string) (Film, error) {
	name = strings.TrimSpace(name)
	for _, f := range films {
		if strings.EqualFold(f.Name, name) || f.Name == name+"in" {
			return f, nil
		}
	}
	w, h, err := ParseSize(name)
	if err != nil {
		return Film{}, fault.New("", "", fmt.Sprintf("film %q is neither a known name nor a size with its unit", name),
			"use "+strings.Join(FilmNames(), ", ")+", or a size such as 200x250mm or 16x20in")
	}
	return Film{Name: name, WidthMM: w, HeightMM: h, MarginMM: defaultMarginMM}, nil
}

// sizeForm is WIDTHxHEIGHT and a unit; the decimal sign may be a comma.
var sizeForm = regexp.MustCompile(`^([0-9]+(?:[.,][0-9]+)?)\s*[x×]\s*([0-9]+(?:[.,][0-9]+)?)\s*(mm|cm|in|")$`)

var unitMM = map[string]float64{"mm": 1, "cm": 10, "in": mmPerInch, `"`: mmPerInch}

// ParseSize returns the width and height in millimetres of a size written as
// "203x254mm", "20.3x25.4cm" or "8x10in". It fails with *fault.Error when the
// form is another, the unit is missing, or a side is outside 5 to 5080 mm.
func ParseSize(size string) (widthMM, heightMM float64, err error) {
	m := sizeForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(size)))
	if m == nil {
		return 0, 0, fault.New("", "", fmt.Sprintf("size %q is not WIDTHxHEIGHT with a unit", size),
			"write it as 203x254mm, 20.3x25.4cm or 8x10in")
	}
	sides := [2]float64{}
	for i, s := range m[1:3] {
		v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		if sides[i] = v * unitMM[m[3]]; err != nil || !sideFits(sides[i]) {
			return 0, 0, fault.New("", "", fmt.Sprintf("size %q: a side must be from %d to %d mm", size, leastSideMM, mostSideMM),
				"write it as 203x254mm, 20.3x25.4cm or 8x10in")
		}
	}
	return sides[0], sides[1], nil
}

// sideFits reports whether mm is a side that a page or a picture may have.
func sideFits(mm float64) bool {
	return !math.IsNaN(mm) && mm >= leastSideMM && mm <= mostSideMM
}

// String returns the film's name and size: "A4, 210 x 297 mm"; of a roll its
// width.
func (f Film) String() string {
	if f.Roll {
		return "roll, " + mmText(f.WidthMM) + " mm wide"
	}
	size := sizeText(f.WidthMM, f.HeightMM)
	if _, _, err := ParseSize(f.Name); err == nil || f.Name == "" {
		return size
	}
	return f.Name + ", " + size
}

// sizeText writes a size in millimetres to the nearest tenth.
func sizeText(widthMM, heightMM float64) string {
	return mmText(widthMM) + " x " + mmText(heightMM) + " mm"
}

func mmText(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*10)/10, 'f', -1, 64)
}
