package darkroom_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/negative/darkroom"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/printer"
)

// TestOpacityGatesTrip breaks what TestOpacity measures, one thing after the
// other, and sees its gates complain.
func TestOpacityGatesTrip(t *testing.T) {
	for name, mutant := range map[string]struct {
		trips string // what a complaint must hold
		run   func(t *testing.T, s *darkroom.Setup) opacityRun
	}{
		"steps of 0.14 taken for 0.15":            {"one print: UV density is off by", wrongTablet},
		"half a stop of the second print ignored": {"two prints: UV density is off by", ignoredOffset},
		"two prints of one exposure":              {"makes the reach longer by", sameExposure},
		"half of the doubt":                       {"one print: the 95 % bands hold", halvedDoubt},
		"a colour's nearest neighbour for it":     {"colours not printed are off by", nearestNeighbour},
		"as dark as it looks taken for opaque":    {"among the three truly best", byLooks},
	} {
		t.Run(name, func(t *testing.T) {
			var all []opacityRun
			for i := range 3 {
				all = append(all, mutant.run(t, opacitySetup(i)))
			}
			f := opacityFiguresOf(all)
			complaints := f.complaints()
			if !slices.ContainsFunc(complaints, func(c string) bool {
				return strings.Contains(c, mutant.trips) && !strings.Contains(c, "NaN")
			}) {
				t.Errorf("no gate trips; complaints: %q", complaints)
			}
		})
	}
}

func wrongTablet(t *testing.T, s *darkroom.Setup) opacityRun {
	rng := darkroom.Random(s.Seed(), 33)
	noise := darkroom.Noise{LightnessSD: readingSD}
	var steps []density.Density
	for i := range 21 {
		steps = append(steps, density.Density(0.05+0.14*float64(i)))
	}
	p := colourPrint(t, s, darkroom.Print{}, rng)
	rs := s.TabletReadings(steps, darkroom.Print{}, noise, rng)
	for i, d := range tablet21() {
		rs[i].Tablet = d
	}
	p.Tablet = table(measure.Tablet, rs)
	c := fitColours(t, s, nil, p)
	return opacityRun{one: colourErrors(s, c, 0), gain: math.NaN()}
}

func ignoredOffset(t *testing.T, s *darkroom.Setup) opacityRun {
	rng := darkroom.Random(s.Seed(), 33)
	first, second := colourPrint(t, s, darkroom.Print{}, rng), colourPrint(t, s, darkroom.Print{Offset: longer}, rng)
	second.Tablet = colourPrint(t, s, darkroom.Print{Offset: longer - 0.15}, rng).Tablet
	c := fitColours(t, s, nil, first, second)
	return opacityRun{two: colourErrors(s, c, 0), gain: math.NaN()}
}

func sameExposure(t *testing.T, s *darkroom.Setup) opacityRun {
	rng := darkroom.Random(s.Seed(), 33)
	first, second := colourPrint(t, s, darkroom.Print{}, rng), colourPrint(t, s, darkroom.Print{}, rng)
	one, two := fitColours(t, s, nil, first), fitColours(t, s, nil, first, second)
	return opacityRun{gain: reachOf(s, two) - reachOf(s, one)}
}

func halvedDoubt(t *testing.T, s *darkroom.Setup) opacityRun {
	c := fitColours(t, s, nil, colourPrint(t, s, darkroom.Print{}, darkroom.Random(s.Seed(), 33)))
	for i := range c.Measured {
		c.Measured[i].SD /= 2
	}
	return opacityRun{one: colourErrors(s, c, 0), gain: math.NaN()}
}

// neighbours predicts by the nearest colour that is known.
type neighbours []calibration.MeasuredColour

func (n neighbours) UVDensity(c printer.RGB) (uv, sd float64) {
	least := math.Inf(1)
	for _, m := range n {
		away := 0.0
		for i := range c {
			away += (m.RGB[i] - c[i]) * (m.RGB[i] - c[i])
		}
		if m.Known() && away < least {
			least, uv = away, m.UVDensity
		}
	}
	return uv, 0
}

func nearestNeighbour(t *testing.T, s *darkroom.Setup) opacityRun {
	c := fitColours(t, s, nil, colourPrint(t, s, darkroom.Print{}, darkroom.Random(s.Seed(), 33)))
	return opacityRun{predicted: predictedErrors(s, c, neighbours(c.Measured)), gain: math.NaN()}
}

// looks takes a colour for as opaque as it is dark to the eye.
type looks struct{}

func (looks) UVDensity(c printer.RGB) (uv, sd float64) {
	return 4 * (1 - (0.3*c[0]+0.59*c[1]+0.11*c[2])/255), 0
}

func byLooks(t *testing.T, s *darkroom.Setup) opacityRun {
	var colours []printer.Colour
	for _, c := range searchColours(t) {
		uv, _ := looks{}.UVDensity(c)
		colours = append(colours, printer.Colour{RGB: c, UVDensity: uv, AtLeast: math.NaN(), AtMost: math.NaN()})
	}
	ranking := printer.Rank(looks{}, colours, printer.RankOptions{NeededRange: float64(s.NeededRange())})
	return opacityRun{choice: choose(s, ranking, ranking.NeededRange), gain: math.NaN()}
}
