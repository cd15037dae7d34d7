package class

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"actinic/negative/sheet"
	"actinic/process/measure/delimited"
)

// Place is where one negative of a class set lies. XMM and YMM are the top-left
// corner of its picture on the film, as seen from above with the ink side down;
// Turned is a quarter turn clockwise.
type Place struct {
	Person      string  `json:"person"`
	Picture     string  `json:"picture"`
	Process     string  `json:"process"`
	Calibration string  `json:"calibration"`
	WidthMM     float64 `json:"width_mm"`
	HeightMM    float64 `json:"height_mm"`
	Page        int     `json:"page"`
	XMM         float64 `json:"x_mm"`
	YMM         float64 `json:"y_mm"`
	Turned      bool    `json:"turned"`
}

// Map returns where the negatives lie, in the order of the roster. Items before
// the first of them, such as charts, are passed over: first is how many.
func Map(all []Negative, first int, pages []sheet.Page) []Place {
	places := make([]Place, len(all))
	for _, page := range pages {
		for _, p := range page.Placements {
			if p.Index < first {
				continue
			}
			n := &all[p.Index-first]
			about := n.About()
			places[p.Index-first] = Place{n.Row.Person, n.Row.Picture, about.Process, about.Calibration,
				micrometres(n.Item.WidthMM), micrometres(n.Item.HeightMM), page.Number, micrometres(p.XMM), micrometres(p.YMM), p.Turned}
		}
	}
	return places
}

// micrometres rounds for people.
func micrometres(mm float64) float64 { return math.Round(mm*1000) / 1000 }

// WriteMap writes places as a table, millimetres to a tenth.
func WriteMap(w io.Writer, places []Place) error {
	b := bufio.NewWriter(w)
	fmt.Fprintln(b, "person,picture,process,calibration,width_mm,height_mm,page,x_mm,y_mm,turned")
	for _, p := range places {
		cells := []string{cell(p.Person), cell(p.Picture), cell(p.Process), cell(p.Calibration),
			tenth(p.WidthMM), tenth(p.HeightMM), strconv.Itoa(p.Page), tenth(p.XMM), tenth(p.YMM), yesNo(p.Turned)}
		fmt.Fprintln(b, strings.Join(cells, ","))
	}
	return b.Flush()
}

// cell quotes text. A spreadsheet takes what begins with one of these signs for a
// formula; an apostrophe before it makes it text (common practice, from memory).
func cell(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if text != "" && strings.ContainsRune("=+-@", rune(text[0])) {
		text = "'" + text
	}
	return delimited.Quote(text)
}

func tenth(mm float64) string { return strconv.FormatFloat(mm, 'f', 1, 64) }

func yesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}
