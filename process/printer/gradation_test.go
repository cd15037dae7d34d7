package printer

import (
	"math"
	"testing"
)

// told is a predictor of a formula, sure of itself.
type told func(c RGB) float64

func (f told) UVDensity(c RGB) (uv, sd float64) { return f(c), 0 }

// even stops 2 at black and less in proportion to what a colour leaves of white.
var even = told(func(c RGB) float64 { return 2 * (3*255 - c[0] - c[1] - c[2]) / (3 * 255) })

// Levels against a count by NumPy: 4,000,001 even film inks, numpy.interp along
// the path, floor(x + 0.5), runs of equal colours of at least 1/65535 of the way.
func TestLevelsOfAPath(t *testing.T) {
	for _, c := range []struct {
		name  string
		path  Path
		depth int
		want  int
	}{
		{"neutral", Straight(RGB{}), 0, 256},
		{"neutral, 5 bits", Straight(RGB{}), 5, 32},
		{"yellow", Straight(RGB{255, 255, 0}), 8, 256},
		{"three speeds", Straight(RGB{204, 153, 38}), 8, 370},
		{"odd", Straight(RGB{17, 201.5, 90.25}), 8, 455},
		{"bent", Path{{0, 255, 255, 255}, {30, 255, 180, 180}, {65, 200, 180, 60}, {100, 0, 180, 60}}, 8, 451},
		{"there and back", Path{{0, 255, 255, 255}, {50, 55, 255, 255}, {100, 155, 255, 155}}, 8, 301},
		{"10 bits", Straight(RGB{120, 0, 40}), 10, 2349},
	} {
		levels := LevelsOf(even, c.path, GradationOptions{Depth: c.depth})
		if len(levels) != c.want {
			t.Errorf("%s: %d levels, want %d", c.name, len(levels), c.want)
		}
		for i := 1; i < len(levels); i++ {
			if levels[i].Percent <= levels[i-1].Percent || levels[i].RGB == levels[i-1].RGB {
				t.Errorf("%s: level %d is %+v after %+v", c.name, i, levels[i], levels[i-1])
			}
		}
	}
}

// On an even ramp of 256 levels to 2.0, each step is 2/255.
func TestGradationOfAnEvenRamp(t *testing.T) {
	g := GradationOf(even, Straight(RGB{}), GradationOptions{})
	if math.Abs(g.LargestStep-2.0/255) > 1e-12 || g.Levels != 256 || g.Range != 2 || !g.Rises || g.LargestFall != 0 {
		t.Errorf("%+v", g)
	}
	if math.Abs(g.LevelsPerTenth-12.8) > 1e-12 || g.FewestInTenth < 12 || g.FewestInTenth > 13 {
		t.Errorf("%+v: 256 levels over 2.0 are 12.8 a tenth", g)
	}
	half := GradationOf(even, Straight(RGB{}), GradationOptions{Range: 1})
	if half.Levels != 129 || half.Range != 1 {
		t.Errorf("%+v: 1.0 is reached by level 129, 128 x 2/255 = 1.004", half)
	}
}

// Channels that do not go to the next code together make more levels of the
// same density, and smaller steps.
func TestGradationOfChannelsApart(t *testing.T) {
	p := Path{{0, 255, 255, 255}, {1, 255, 254.7, 254.3}, {99, 0.7, 0.4, 0}, {100, 0, 0, 0}}
	g := GradationOf(even, p, GradationOptions{})
	if g.Levels < 750 || g.LargestStep > 2*2.0/765+1e-9 {
		t.Errorf("%+v", g)
	}
}

func TestGradationTellsFalls(t *testing.T) {
	hill := told(func(c RGB) float64 { x := (255 - c[2]) / 255; return x * (1.6 - x) })
	g := GradationOf(hill, Straight(RGB{255, 255, 0}), GradationOptions{})
	if g.Rises || math.Abs(g.LargestFall-0.04) > 1e-4 { // top 0.64 at 0.8, end 0.60
		t.Errorf("%+v", g)
	}
	if math.Abs(g.Range-0.64) > 1e-4 {
		t.Errorf("range %v, the top is 0.64", g.Range)
	}
	upTo := GradationOf(hill, Straight(RGB{255, 255, 0}), GradationOptions{Range: 0.6})
	if !upTo.Rises {
		t.Errorf("%+v: it falls only beyond 0.64", upTo)
	}
}

func TestGradationLargestStepIsFound(t *testing.T) {
	leap := told(func(c RGB) float64 {
		if c[2] < 99.5 {
			return even(c) + 0.1
		}
		return even(c)
	})
	g := GradationOf(leap, Straight(RGB{255, 255, 0}), GradationOptions{})
	if want := 0.1 + 2.0/765; math.Abs(g.LargestStep-want) > 1e-12 || math.Abs(g.LargestStepAt-even(RGB{255, 255, 100})) > 1e-12 {
		t.Errorf("%+v", g)
	}
}

func TestDepthRefused(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a depth of 17 bits went through")
		}
	}()
	GradationOf(even, Straight(RGB{}), GradationOptions{Depth: 17})
}
