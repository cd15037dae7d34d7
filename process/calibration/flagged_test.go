package calibration

import (
	"strings"
	"testing"

	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// flaggedAt spoils readings of a table and flags them, as whoever read them did.
func flaggedAt(t *measure.Table, flag string, at func(r *measure.Reading) bool) *measure.Table {
	return altered(t, func(r *measure.Reading, _ int) {
		if at(r) {
			r.Flag, r.Value = flag, 55
		}
	})
}

// Flagged readings are left out, counted and named; the fit is that of the rest.
func TestFlaggedReadingsAreLeftOut(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	p := s.print(3)
	spoilt := func(r *measure.Reading) bool { return r.ID == "P11" || r.ID == "P40" }
	q := Print{Tablet: flaggedAt(p.Tablet, "dust", func(r *measure.Reading) bool { return r.ID == "7" }),
		Ramp: flaggedAt(p.Ramp, "clipped", spoilt)}
	e, err := Fit([]Print{q}, nil)
	if err != nil {
		t.Fatal(err)
	}
	rest, err := Fit([]Print{{Tablet: thin(p.Tablet, func(i int) bool { return i != 6 }),
		Ramp: thin(p.Ramp, func(i int) bool { return i != 10 && i != 39 })}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if e.tone(40) != rest.tone(40) {
		t.Errorf("L* %v, %v without the flagged readings", e.tone(40), rest.tone(40))
	}
	c := build(t, e, Request{})
	text := strings.Join(c.Cautions, "\n")
	for _, want := range []string{"ramp.csv: 2 readings are flagged and left out: P11 (clipped), P40 (clipped).",
		"tablet.csv: 1 reading is flagged and left out: 7 (dust)."} {
		if !strings.Contains(text, want) {
			t.Errorf("cautions %q, want %q", text, want)
		}
	}
	if len(c.Quality.Flagged) != 3 || c.Quality.Readings != 82+21-3 || len(e.Outliers()) != len(rest.Outliers()) {
		t.Errorf("quality %+v", c.Quality)
	}
}

// Where too little would be left, a ramp's end or levels for a curve, flagged
// readings are used all the same, and it says so.
func TestFlaggedReadingsThatAreNeeded(t *testing.T) {
	s := darkroomScene()
	p := s.print(3)
	for name, at := range map[string]func(r *measure.Reading) bool{
		"full ink":   func(r *measure.Reading) bool { return r.Ink > 97 },
		"clear film": func(r *measure.Reading) bool { return r.Ink < 3 },
		"nearly all": func(r *measure.Reading) bool { return r.Ink > 2 && r.Ink < 98 && int(r.Ink)%20 != 0 },
	} {
		flagged := altered(p.Ramp, func(r *measure.Reading, _ int) {
			if at(r) {
				r.Flag = "edge"
			}
		})
		kept, tables := leaveOutFlagged([]Print{{Ramp: flagged}})
		if len(tables) != 1 || !tables[0].Used || len(kept[0].Ramp.Readings) != 82 {
			t.Errorf("%s: %d of 82 readings kept", name, len(kept[0].Ramp.Readings))
			continue
		}
		text := tables[0].String()
		if !strings.Contains(text, "used all the same") || len(tables[0].Readings) > mostNamed && !strings.Contains(text, " more.") {
			t.Errorf("%s: %q", name, text)
		}
	}
	steps := altered(p.Tablet, func(r *measure.Reading, i int) {
		if i > 4 {
			r.Flag = "edge"
		}
	})
	if _, tables := leaveOutFlagged([]Print{{Tablet: steps}}); !tables[0].Used {
		t.Error("five steps are left for a curve")
	}
	e, err := Fit([]Print{{Tablet: flaggedAt(p.Tablet, "dust", func(r *measure.Reading) bool { return r.ID == "9" })}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if n := e.TabletSummary(sensitometry.Exposure{}).Notices; len(n) != 1 || !strings.Contains(n[0], "9 (dust)") {
		t.Errorf("notices %q", n)
	}
}
