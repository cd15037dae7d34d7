package control

import (
	"errors"
	"fmt"
	"time"

	"actinic/process/calibration"
)

// Record is what is known of one print beside its readings. Texts are free; ""
// and null are what was not said.
type Record struct {
	FilmBatch     string     `json:"film_batch"`
	InkBatch      string     `json:"ink_batch"`
	DryingHours   *float64   `json:"drying_hours"` // of the negative, before it was used
	Humidity      *float64   `json:"humidity_percent"`
	Coats         string     `json:"coats"`
	HoursDry      *float64   `json:"hours_since_drying"` // of the print, when it was read
	Toning        string     `json:"toning"`
	Exposure      *float64   `json:"exposure"` // that this print was given, in ExposureUnit
	ExposureUnit  string     `json:"exposure_unit"`
	Printed       *time.Time `json:"printed"`
	NegativeMade  *time.Time `json:"negative_made"`
	NegativeHours *float64   `json:"negative_age_hours"` // Printed less NegativeMade
}

// check refuses amounts that nothing has; bad makes the error.
func (r *Record) check(bad func(where, what string) error) error {
	for _, f := range []struct {
		name string
		v    *float64
		most float64
	}{
		{"drying_hours", r.DryingHours, MostHours}, {"humidity_percent", r.Humidity, 100},
		{"hours_since_drying", r.HoursDry, MostHours}, {"exposure", r.Exposure, 1e9}, {"negative_age_hours", r.NegativeHours, MostHours},
	} {
		if f.v != nil && !(*f.v >= 0 && *f.v <= f.most) {
			return bad("field record."+f.name, "found a number that nothing has")
		}
	}
	return nil
}

// MostHours is the most that a record takes.
const MostHours = calibration.MostHours

// Age fills in the age of the negative when it was printed, where both dates are
// known. It fails where the print is older than its negative.
func (r *Record) Age() error {
	if r.Printed == nil || r.NegativeMade == nil {
		return nil
	}
	hours := r.Printed.Sub(*r.NegativeMade).Hours()
	if hours < 0 || hours > MostHours {
		return errors.New("the negative is from after the print, or over a hundred years older")
	}
	r.NegativeHours = &hours
	return nil
}

// Lines are what is known, a name and its value each.
func (r *Record) Lines() [][2]string {
	var out [][2]string
	add := func(name, value string) {
		if value != "" {
			out = append(out, [2]string{name, value})
		}
	}
	number := func(name string, v *float64, unit string) {
		if v != nil {
			add(name, fmt.Sprintf("%.4g %s", *v, unit))
		}
	}
	date := func(name string, t *time.Time) {
		if t != nil {
			add(name, t.Format(time.DateOnly))
		}
	}
	date("Printed", r.Printed)
	date("Negative made", r.NegativeMade)
	number("Age of the negative", r.NegativeHours, "h")
	add("Film batch", r.FilmBatch)
	add("Ink batch", r.InkBatch)
	number("Negative dried for", r.DryingHours, "h")
	number("Humidity", r.Humidity, "%")
	add("Coats", r.Coats)
	number("Read after drying", r.HoursDry, "h")
	add("Toning", r.Toning)
	return out
}
