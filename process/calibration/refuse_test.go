package calibration

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
)

// refused holds an error to what users need: the file, a hint or the place, and
// words that name the trouble.
func refused(t *testing.T, name string, err error, file, words string) {
	t.Helper()
	var user *fault.Error
	if !errors.As(err, &user) {
		t.Errorf("%s: error %v, want one for users", name, err)
		return
	}
	if user.File != file || user.Hint+user.Where == "" || !strings.Contains(err.Error(), words) {
		t.Errorf("%s: file %q, hint %q, text %q: want file %q and %q", name, user.File, user.Hint, err, file, words)
	}
}

func thin(t *measure.Table, keep func(i int) bool) *measure.Table {
	out := *t
	out.Readings = nil
	for i, r := range t.Readings {
		if keep(i) {
			out.Readings = append(out.Readings, r)
		}
	}
	return &out
}

func altered(t *measure.Table, change func(r *measure.Reading, i int)) *measure.Table {
	out := *t
	out.Readings = slices.Clone(t.Readings)
	for i := range out.Readings {
		change(&out.Readings[i], i)
	}
	return &out
}

func TestFitRefuses(t *testing.T) {
	s := darkroomScene()
	p := s.print(1)
	n := len(p.Ramp.Readings)
	backwards := func(r *measure.Reading, i int) { r.Ink = 100 - r.Ink }
	flatten := func(r *measure.Reading, i int) { r.Value = 60 + 0.1*float64(i%3) }
	for _, test := range []struct {
		name, file, words string
		prints            []Print
	}{
		{"no prints", "", "no readings", nil},
		{"an empty print", "", "a print without readings", []Print{p, {}}},
		{"five steps", "dir/tablet.csv", "5 different tablet densities, expected at least 6",
			[]Print{{Tablet: thin(p.Tablet, func(i int) bool { return i%4 == 0 && i < 20 })}}},
		{"seven levels", "dir/ramp.csv", "7 different inks, expected at least 8",
			[]Print{{Ramp: thin(p.Ramp, func(i int) bool { return i%12 == 0 })}}},
		{"a ramp from the wrong end", "dir/ramp.csv", "darker", []Print{{Ramp: altered(p.Ramp, backwards)}}},
		{"a flat ramp", "dir/ramp.csv", "span", []Print{{Ramp: altered(p.Ramp, flatten)}}},
		{"a ramp for a tablet", "dir/ramp.csv", "an ink ramp, expected a step tablet", []Print{{Tablet: p.Ramp}}},
		{"a tablet for a ramp", "dir/tablet.csv", "a step tablet, expected an ink ramp", []Print{p, {Ramp: p.Tablet}}},
	} {
		_, err := Fit(test.prints, nil)
		refused(t, test.name, err, test.file, test.words)
	}
	if n != 82 {
		t.Errorf("%d patches, the cases above count on 82", n)
	}
	_, err := Fit([]Print{p}, &Options{Falling: true})
	refused(t, "a print that darkens, as positive-working", err, "dir/tablet.csv", "lighter")
}

func TestBuildRefuses(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.steps, s.levels, s.repeats = 0, 21, 1
	p := s.print(1)
	half := thin(p.Ramp, func(i int) bool { return i < 15 })
	late := thin(p.Ramp, func(i int) bool { return i > 2 })
	device := func(change func(r *measure.Reading, i int)) *measure.Table {
		return altered(p.Ramp, func(r *measure.Reading, i int) {
			r.HasDevice, r.Device = true, [3]float64{255 - 2.55*r.Ink, 255 - 2.55*r.Ink, 255}
			change(r, i)
		})
	}
	for _, test := range []struct {
		name, words string
		prints      []Print
	}{
		{"a ramp to 70 %", "the ramp runs from 0 to 70 %, expected 0 to 100", []Print{{Ramp: half}}},
		{"a ramp from 15 %", "the ramp runs from 15 to 100 %, expected 0 to 100", []Print{{Ramp: late}}},
		{"code values here and there", "some ramps give red, green and blue and some do not",
			[]Print{{Ramp: device(func(r *measure.Reading, i int) { r.HasDevice = i != 4 })}}},
		{"one ink in two colours", "another patch with", []Print{{Ramp: device(func(r *measure.Reading, i int) {
			if i == 6 {
				r.Ink = 25
			}
		})}}},
	} {
		e, err := Fit(test.prints, nil)
		if err != nil {
			t.Fatal(test.name, err)
		}
		_, err = e.Build(Request{Aim: AimLightness})
		refused(t, test.name, err, "dir/ramp.csv", test.words)
	}
	s = darkroomScene()
	s.levels = 0
	_, err := s.fit(t, 1).Build(Request{Aim: AimLightness})
	refused(t, "a tablet alone", err, "", "a step tablet alone gives no tone curve")
}

// A calibration without a tablet cannot lend its ink, and a ramp cannot borrow.
func TestReuseRefuses(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.steps, s.levels, s.repeats = 0, 21, 1
	bare := s.fit(t, 1)
	c := build(t, bare, Request{})
	s.steps, s.levels = 21, 0
	_, err := s.fit(t, 1).Reuse(c, Request{Aim: AimLightness})
	refused(t, "ink of unknown UV density", err, "", "made without a step tablet")
	_, err = bare.Reuse(c, Request{Aim: AimLightness})
	refused(t, "no tablet on the new paper", err, "", "needs a step tablet")
}

// A turn in the middle of the scale is an error that names the patches.
func TestTurnElsewhereIsRefused(t *testing.T) {
	s := darkroomScene()
	for _, unit := range []measure.Unit{measure.InLightness, measure.InDensity} {
		s.unit, s.noise = unit, 0
		p := s.print(1)
		turn := altered(p.Ramp, func(r *measure.Reading, i int) {
			if i >= 40 && i < 52 { // levels 20 to 25 as dark as level 10
				r.Value = p.Ramp.Readings[20+i%2].Value
			}
		})
		_, err := Fit([]Print{{Ramp: turn}}, nil)
		refused(t, "ramp in "+unit.String(), err, "dir/ramp.csv", "tone turns back by")
		if err != nil && !strings.Contains(err.Error(), "P41") {
			t.Errorf("the turn at patch P41 is not named: %v", err)
		}
	}
	p := s.print(1)
	swapped := altered(p.Tablet, func(r *measure.Reading, i int) {
		if i >= 8 && i < 14 { // six steps read from the wrong end
			r.Tablet = density.Density(0.05 + 0.15*float64(21-i))
		}
	})
	_, err := Fit([]Print{{Tablet: swapped}}, nil)
	refused(t, "steps from the wrong end", err, "dir/tablet.csv", "tone turns back by")
}
