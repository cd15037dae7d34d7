package sensitometry

import (
	"errors"
	"testing"

	"actinic/process/fault"
)

func TestParseExposure(t *testing.T) {
	tests := []struct {
		text string
		want Exposure
	}{
		{"8m", Exposure{480, Seconds}}, {"8 min", Exposure{480, Seconds}}, {"8,5m", Exposure{510, Seconds}},
		{"90s", Exposure{90, Seconds}}, {"1.5h", Exposure{5400, Seconds}}, {"250", Exposure{250, LampUnits}},
		{" 12.5 ", Exposure{12.5, LampUnits}},
	}
	for _, test := range tests {
		if got, err := ParseExposure(test.text); err != nil || got != test.want {
			t.Errorf("ParseExposure(%q) = %v, %v, want %v", test.text, got, err, test.want)
		}
	}
	for _, text := range []string{"", "m", "-8m", "0", "eight", "8x", "1e300", "nan", "inf", "8m30s"} {
		_, err := ParseExposure(text)
		var user *fault.Error
		if !errors.As(err, &user) || user.Hint == "" {
			t.Errorf("ParseExposure(%q): error %v, want one with a hint", text, err)
		}
	}
}

func TestExposureText(t *testing.T) {
	tests := []struct {
		x    Exposure
		sd   float64
		want string
	}{
		{Exposure{483, Seconds}, 35, "8 min +- 35 s"}, // the form of the design's example
		{Exposure{480, Seconds}, 0, "8 min"},
		{Exposure{45.26, Seconds}, 1.6, "45.5 s +- 1.6 s"},
		{Exposure{5400, Seconds}, 300, "1 h 30 min +- 5 min"},
		{Exposure{3599, Seconds}, 200, "1 h +- 3 min 30 s"},
		{Exposure{250, LampUnits}, 12, "250 lamp units +- 12 lamp units"},
		{Exposure{59.96, Seconds}, 0, "1 min"},
		{Exposure{0.04, Seconds}, 0, "0.1 s"},
	}
	for _, test := range tests {
		if got := test.x.WithDoubt(test.sd); got != test.want {
			t.Errorf("%v with doubt %g: %q, want %q", test.x, test.sd, got, test.want)
		}
	}
}

// Whatever is taken for an exposure is above 0, finite and can be told.
func FuzzParseExposure(f *testing.F) {
	for _, seed := range []string{"8m", "8,5 min", "1e3", "0x10s", "90", "-1h", "9e999s", "ms", "٣m"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		x, err := ParseExposure(text)
		if err != nil {
			return
		}
		if !(x.Amount > 0 && x.Amount <= MostExposure) || (x.Unit != Seconds && x.Unit != LampUnits) {
			t.Errorf("%q gave %+v", text, x)
		}
		if x.String() == "" || x.WithDoubt(x.Amount/10) == "" {
			t.Errorf("%q cannot be told", text)
		}
	})
}
