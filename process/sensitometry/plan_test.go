package sensitometry

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
	"actinic/process/fault"
)

func seconds(amounts ...float64) []Exposure {
	var out []Exposure
	for _, a := range amounts {
		out = append(out, Exposure{a, Seconds})
	}
	return out
}

// By hand: a geometric series with ratio r, each term to the nearest multiple of
// the largest step of a timer within 2 % of it. The full and half stops of the
// first two are the aperture series' own, 2^(k/2).
func TestPlanExposures(t *testing.T) {
	units := func(amounts ...float64) (out []Exposure) {
		for _, a := range amounts {
			out = append(out, Exposure{a, LampUnits})
		}
		return out
	}
	tests := []struct {
		name     string
		from, to Exposure
		strips   int
		want     []Exposure
	}{
		{"full stops", Exposure{60, Seconds}, Exposure{960, Seconds}, 5, seconds(60, 120, 240, 480, 960)},
		// 169.706, 339.411, 678.823, 1357.645 s.
		{"half stops", Exposure{120, Seconds}, Exposure{1920, Seconds}, 9, seconds(120, 170, 240, 340, 480, 680, 960, 1365, 1920)},
		// 7.071, 14.142, 28.284: by hand to the second.
		{"by hand", Exposure{5, Seconds}, Exposure{40, Seconds}, 7, seconds(5, 7, 10, 14, 20, 28, 40)},
		// Ends stand as given, to the second: 100 x (7.07)^(1/3), 100 x 7.07^(2/3).
		{"odd ends", Exposure{100.4, Seconds}, Exposure{707, Seconds}, 4, seconds(100, 192, 370, 707)},
		{"lamp units", Exposure{10, LampUnits}, Exposure{80, LampUnits}, 4, units(10, 20, 40, 80)},
		// 1.41421, 2.82843: a counter shows tenths.
		{"small units", Exposure{1, LampUnits}, Exposure{4, LampUnits}, 5, units(1, 1.4, 2, 2.8, 4)},
	}
	for _, test := range tests {
		got, err := PlanExposures(test.from, test.to, test.strips)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		for k := range test.want {
			if len(got) != len(test.want) || got[k] != test.want[k] {
				t.Errorf("%s: %v, want %v", test.name, got, test.want)
				break
			}
		}
	}
}

func TestPlanExposuresRefuses(t *testing.T) {
	tests := []struct {
		from, to Exposure
		strips   int
		want     string
	}{
		{Exposure{120, Seconds}, Exposure{1920, Seconds}, 3, "3 strips, expected 4 to 40"},
		{Exposure{120, Seconds}, Exposure{1920, Seconds}, 41, "41 strips"},
		{Exposure{120, Seconds}, Exposure{120, Seconds}, 9, "shorter one first"},
		{Exposure{240, Seconds}, Exposure{120, Seconds}, 9, "from 4 min to 2 min"},
		{Exposure{120, Seconds}, Exposure{240, LampUnits}, 9, "both as times or both in lamp units"},
		{Exposure{}, Exposure{}, 9, "both as times"},
		{Exposure{0.2, Seconds}, Exposure{20, Seconds}, 9, "expected at least 1"},
		{Exposure{math.NaN(), Seconds}, Exposure{20, Seconds}, 9, "expected at least 1"},
		{Exposure{1, Seconds}, Exposure{math.Inf(1), Seconds}, 9, "expected at least 1"},
		{Exposure{10, Seconds}, Exposure{12, Seconds}, 9, "too near to each other"},
	}
	for _, test := range tests {
		_, err := PlanExposures(test.from, test.to, test.strips)
		var user *fault.Error
		if !errors.As(err, &user) || !strings.Contains(user.What, test.want) || user.Hint == "" {
			t.Errorf("%v to %v in %d: error %v, want %q with a hint", test.from, test.to, test.strips, err, test.want)
		}
	}
}

// Whatever plan is made rises, keeps its ends, reads on a timer as it stands,
// and is even to half a step.
func TestPlansAreEven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]string{Seconds, LampUnits}).Draw(t, "unit")
		from := Exposure{rapid.Float64Range(0.1, 3000).Draw(t, "from"), unit}
		to := from.Times(rapid.Float64Range(1, 300).Draw(t, "ratio"))
		strips := rapid.IntRange(1, 45).Draw(t, "strips")
		plan, err := PlanExposures(from, to, strips)
		if err != nil {
			return
		}
		if n := len(plan); n != strips || math.Abs(plan[0].Amount-from.Amount) > 0.5 || math.Abs(plan[n-1].Amount-to.Amount) > 0.5 {
			t.Fatalf("%v to %v in %d: %v", from, to, strips, plan)
		}
		step := math.Pow(to.Amount/from.Amount, 1/float64(strips-1))
		for k, x := range plan {
			want := from.Amount * math.Pow(step, float64(k))
			slack := max(leastGrain[unit]/2, 0.0101*want)
			if math.Abs(x.Amount-want) > slack+1e-6 {
				t.Errorf("strip %d is %v, want about %g", k+1, x, want)
			}
			if k > 0 && !(x.Amount > plan[k-1].Amount) {
				t.Errorf("strip %d does not rise: %v", k+1, plan)
			}
		}
	})
}

// Each strip's waits add up to its exposure, and an exposure doubled is one stop
// (log10 2 = 0.30103).
func TestPlannedStrips(t *testing.T) {
	strips := PlannedStrips(seconds(60, 120, 240, 480))
	sum := 0.0
	for k, s := range strips {
		sum += s.Wait.Amount
		if s.Strip != k+1 || sum != s.Exposure.Amount || s.Wait.Unit != Seconds {
			t.Errorf("strip %+v, waited %g", s, sum)
		}
		near(t, "log exposure", float64(s.LogExposure), float64(k-3)*0.30103, 1e-5)
	}
	near(t, "stops", float64(strips[0].LogExposure)/density.Stop, -3, 1e-12)
}
