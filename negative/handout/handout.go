package handout

import (
	"time"

	"actinic/process/recipe"
)

// Handout is what one person, or one process, gets: one process and all films
// for it.
type Handout struct {
	Person   string // "" for a handout that is for everybody
	Process  recipe.Card
	Films    []Film
	Exposure Exposure
	// Coatings say what to measure out, one for each size; none for a process
	// whose quantities are not on file. NoQuantities is then the reason, "" for a
	// material that comes coated.
	Coatings     []*recipe.Coating
	NoQuantities string
}

// Film is a negative, as often as it is printed on the sheets.
type Film struct {
	Name              string // of the picture
	WidthMM, HeightMM float64
	Copies            int
	Sheets            []int // on which it lies, from 1
	// Print is the print to expect as a JPEG file, nil where it is not known.
	Print []byte
}

// Exposure is what to start from.
type Exposure struct {
	Headline string   // "8 min"
	Figure   string   // "first black 4 min 50 s ± 10 s"; may be empty
	Text     []string // what the two mean, and how far to trust them
	Sources  []recipe.Source
}

// Options are what all pages share.
type Options struct {
	Paper Paper
	Title string    // of the file and, small, on each page: the name of the class
	Date  time.Time // zero is 1970-01-01; the clock is never read
}

// Placed says where a handout lies in the file.
type Placed struct {
	Page  int // the first, from 1
	Pages int
}
