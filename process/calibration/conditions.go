package calibration

import "fmt"

// Conditions are what was noted when the calibration's prints were made, for the
// record of a later print to be held against. "" and null are what was not said, as
// in files of versions 1 to 3.
type Conditions struct {
	FilmBatch   string   `json:"film_batch"`
	DryingHours *float64 `json:"negative_drying_hours"` // of the chart, before it was used
	Humidity    *float64 `json:"humidity_percent"`      // relative, of the room
}

// MostHours is the longest that anything is said to dry or to be kept, about a
// hundred years.
const MostHours = 876_600

// check refuses amounts that nothing has; bad makes the error.
func (k Conditions) check(bad func(where, what string) error) error {
	for _, f := range []struct {
		name string
		v    *float64
		most float64
	}{{"negative_drying_hours", k.DryingHours, MostHours}, {"humidity_percent", k.Humidity, 100}} {
		if f.v != nil && !(*f.v >= 0 && *f.v <= f.most) {
			return bad("field conditions."+f.name, fmt.Sprintf("found %g, expected 0 to %d", *f.v, int(f.most)))
		}
	}
	return nil
}
