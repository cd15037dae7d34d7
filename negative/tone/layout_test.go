package tone

import (
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/process/fault"
)

// Sizes are round(mm x ppi / 25.4), as the chart format states it.
func TestLayout(t *testing.T) {
	tests := []struct {
		name          string
		o             Options
		width, height int
		picture       rect
		window        [4]float64
		notice        string
	}{
		{"grid kept", Options{}, 1500, 1000, rect{0, 0, 1500, 1000}, [4]float64{0, 0, 1500, 1000}, ""},
		{"ppi alone is a tag", Options{PPI: 720}, 1500, 1000, rect{0, 0, 1500, 1000}, [4]float64{0, 0, 1500, 1000}, ""},
		{"inside", Options{WidthMM: 100, HeightMM: 100, PPI: 254}, 1000, 667, rect{0, 0, 1000, 667}, [4]float64{0, 0, 1500, 1000}, "printed 100 x 67 mm"},
		{"inside, upright", Options{WidthMM: 80, HeightMM: 100, PPI: 254}, 800, 533, rect{0, 0, 800, 533}, [4]float64{0, 0, 1500, 1000}, "turn the size"},
		{"crop", Options{WidthMM: 100, HeightMM: 100, PPI: 254, Fit: FitCrop}, 1000, 1000, rect{0, 0, 1000, 1000}, [4]float64{250, 0, 1250, 1000}, ""},
		{"crop, wide", Options{WidthMM: 100, HeightMM: 50, PPI: 254, Fit: FitCrop}, 1000, 500, rect{0, 0, 1000, 500}, [4]float64{0, 125, 1500, 875}, ""},
		{"pad", Options{WidthMM: 100, HeightMM: 100, PPI: 254, Fit: FitPad}, 1000, 1000, rect{0, 166, 1000, 833}, [4]float64{0, 0, 1500, 1000}, ""},
		{"one side", Options{HeightMM: 50, PPI: 254}, 750, 500, rect{0, 0, 750, 500}, [4]float64{0, 0, 1500, 1000}, ""},
		{"nearly its shape", Options{WidthMM: 150, HeightMM: 99.8, PPI: 254}, 1500, 998, rect{0, 0, 1500, 998}, [4]float64{0, 1, 1500, 999}, ""},
		{"default ppi", Options{WidthMM: 254}, 3600, 2400, rect{0, 0, 3600, 2400}, [4]float64{0, 0, 1500, 1000}, "only 150 pixels an inch"},
		{"part", Options{PPI: 254, Part: &Part{10, 20, 30, 40}}, 300, 400, rect{0, 0, 1500, 1000}, [4]float64{0, 0, 1500, 1000}, ""},
	}
	for _, test := range tests {
		l, err := newLayout(1500, 1000, 0, &test.o)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if l.width != test.width || l.height != test.height || l.picture != test.picture {
			t.Errorf("%s: %d x %d, picture %v; want %d x %d, %v", test.name, l.width, l.height, l.picture, test.width, test.height, test.picture)
		}
		for i, v := range l.window {
			if math.Abs(v-test.window[i]) > 1e-3 {
				t.Errorf("%s: window %v, want %v", test.name, l.window, test.window)
			}
		}
		notices := strings.Join(l.notices, "\n")
		if (test.notice == "") != (notices == "") || !strings.Contains(notices, test.notice) {
			t.Errorf("%s: notices %q, want %q", test.name, notices, test.notice)
		}
	}
}

func TestResolution(t *testing.T) {
	tests := []struct {
		o         Options
		own, want float64
	}{
		{Options{}, 300, 300}, {Options{}, 0, 360}, {Options{}, 99999, 360}, {Options{}, 1, 360}, {Options{}, 2e-10, 360}, {Options{}, 10, 10},
		{Options{PPI: 720}, 300, 720}, {Options{WidthMM: 10}, 300, 360}, {Options{WidthMM: 10, PPI: 600}, 72, 600},
	}
	for _, test := range tests {
		if got := test.o.Resolution(test.own); got != test.want {
			t.Errorf("%+v, picture %g ppi: %g, want %g", test.o, test.own, got, test.want)
		}
	}
}

func TestOptionsRefused(t *testing.T) {
	bad := map[string]Options{
		"negative size": {WidthMM: -1}, "not a number": {HeightMM: math.NaN()}, "huge": {WidthMM: 1e6},
		"ppi": {PPI: -3}, "less than a pixel an inch": {PPI: 0.5}, "depth": {Depth: 12}, "edge": {EdgeMM: 1e4}, "too small": {WidthMM: 0.001},
		"part outside":  {PPI: 254, Part: &Part{0, 0, 500, 10}},
		"part negative": {PPI: 254, Part: &Part{-1, 0, 5, 10}},
		"part empty":    {PPI: 254, Part: &Part{1, 1, 0, 10}},
		"part nan":      {PPI: 254, Part: &Part{1, 1, math.NaN(), 10}},
		"no pixels":     {WidthMM: 20000, PPI: 5760},
		"rotated askew": {Rotate: 45}, "rotated back": {Rotate: -90}, "held": {HeldBytes: -1},
	}
	for name, o := range bad {
		err := o.check()
		if err == nil {
			_, err = newLayout(1500, 1000, 0, &o)
		}
		var f *fault.Error
		if !errors.As(err, &f) || f.Where == "" || f.Hint == "" {
			t.Errorf("%s: got %v, want an error that names the flag and a way out", name, err)
		}
	}
}
