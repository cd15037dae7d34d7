package nextchart

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"actinic/process/calibration"
	"actinic/process/fault"
)

func levelsOf(t *testing.T, b *Belief, n int, o LevelOptions) *Plan {
	t.Helper()
	p, err := Levels(b, n, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The band before is that of the calibration's own column.
func TestBandBeforeIsTheCalibrations(t *testing.T) {
	c := strong()
	p := levelsOf(t, belief(t, c), 20, LevelOptions{})
	sum, most := 0.0, 0.0
	for _, sd := range c.Curve.ToneSD {
		sum += sd * sd
		most = math.Max(most, sd)
	}
	near(t, "average band", p.Before.Average, 1.96*math.Sqrt(sum/float64(len(c.Curve.ToneSD))), 0.01)
	near(t, "largest band", p.Before.Largest, 1.96*most, 0.02)
	if !(p.After.Average < p.Before.Average && p.After.Largest <= p.Before.Largest) {
		t.Errorf("band %+v before, %+v after", p.Before, p.After)
	}
}

// Levels stand on whole printer values, run from clear film to full ink, lie
// apart while there is room, and do not come again while there are others.
func TestLevelsAreFit(t *testing.T) {
	b := belief(t, strong())
	for _, test := range []struct{ n, codes, most, apart int }{{2, 255, 1, 64}, {31, 255, 1, 4}, {82, 255, 1, 1}, {128, 255, 1, 1}, {129, 255, 2, 0}, {60, 40, 3, 0}, {600, 255, 5, 0}} {
		p := levelsOf(t, b, test.n, LevelOptions{Codes: test.codes})
		if len(p.Ink) != test.n || p.Ink[0] != 0 || p.Ink[test.n-1] != 100 {
			t.Errorf("%+v: %d levels, %v to %v", test, len(p.Ink), p.Ink[0], p.Ink[len(p.Ink)-1])
		}
		times := map[float64]int{}
		for i, ink := range p.Ink {
			code := ink * float64(test.codes) / 100
			if math.Abs(code-math.Round(code)) > 0.0013*float64(test.codes)/255 || i > 0 && ink < p.Ink[i-1] {
				t.Errorf("%+v: level %v between printer values, or not in order", test, ink)
			}
			if i > 0 && i < test.n-1 && (ink-p.Ink[i-1])*float64(test.codes)/100 < float64(test.apart)-0.01 {
				t.Errorf("%+v: levels %v and %v crowd", test, p.Ink[i-1], ink)
			}
			if times[ink]++; times[ink] > test.most {
				t.Errorf("%+v: level %v comes %d times", test, ink, times[ink])
			}
		}
	}
}

// Patches go where pictures need ink: of a ramp twice as strong as needed, few
// stand beyond white, and the band is narrower than with as many evenly over the
// ramp, or evenly over what pictures use.
func TestLevelsBeatEven(t *testing.T) {
	c := strong()
	b := belief(t, c)
	const n = 31
	p := levelsOf(t, b, n, LevelOptions{})
	white := c.Curve.Ink[len(c.Curve.Ink)-1]
	if white > 60 {
		t.Fatalf("pictures use %g %% of the ramp", white)
	}
	beyond := 0
	for _, ink := range p.Ink {
		if ink > white+5 {
			beyond++
		}
	}
	if beyond > 4 {
		t.Errorf("%d of %d levels beyond white at %.0f %%: %v", beyond, n, white, p.Ink)
	}
	for name, to := range map[string]float64{"the ramp": 100, "what pictures use": white} {
		d := b.design(evenly(n, to), 1, true)
		for i := range n {
			d.read(i)
		}
		even := d.band(b.doubt.Common)
		t.Logf("band %.3f; %d evenly over %s: %.3f; before %.3f", p.After.Average, n, name, even.Average, p.Before.Average)
		if p.After.Average >= even.Average {
			t.Errorf("band %.4f after, %.4f with levels evenly over %s", p.After.Average, even.Average, name)
		}
	}
}

func evenly(n int, to float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = to * float64(i) / float64(n-1)
	}
	return out
}

// A tablet beside the patches counts; what the chart shows anyway counts, and is not asked for again.
func TestShownAlways(t *testing.T) {
	b := belief(t, strong())
	plain := levelsOf(t, b, 30, LevelOptions{})
	bare := levelsOf(t, b, 30, LevelOptions{NoTablet: true})
	if bare.After.Average <= plain.After.Average {
		t.Errorf("band %.4f without a tablet, %.4f with one", bare.After.Average, plain.After.Average)
	}
	corners := levelsOf(t, b, 30, LevelOptions{Always: []float64{0, 0, 0, 0, 100, 100, 100, 100}})
	if corners.After.Average >= plain.After.Average {
		t.Errorf("band %.4f with corner patches, %.4f without", corners.After.Average, plain.After.Average)
	}
	if corners.Ink[0] == 0 && corners.Ink[29] == 100 {
		t.Errorf("clear film and full ink are asked for again: %v", corners.Ink)
	}
	if again := levelsOf(t, b, 30, LevelOptions{}); !reflect.DeepEqual(again, plain) {
		t.Error("two plans of one belief")
	}
}

func TestLevelsRefuses(t *testing.T) {
	b := belief(t, strong())
	for _, n := range []int{-1, 0, 5001} {
		if _, err := Levels(b, n, LevelOptions{}); !isFault(err) {
			t.Errorf("%d levels: %v", n, err)
		}
	}
	bare := *strong()
	bare.Doubt = nil
	_, err := BeliefOf(&bare, "bare.json")
	if !isFault(err) || !strings.Contains(err.Error(), "bare.json") || !strings.Contains(err.Error(), "no print of the ink ramp") {
		t.Errorf("without doubt: %v", err)
	}
}

func isFault(err error) bool {
	var user *fault.Error
	return errors.As(err, &user) && user.Hint != ""
}

// Whatever a file's doubt says, the plan holds numbers.
func TestLevelsOfAnyDoubt(t *testing.T) {
	for _, test := range []struct{ factor, further, noise float64 }{{1000, 1000, 1e-5}, {0, 0, 1}, {1e-5, 0, 1000}, {-1000, 1e-5, 1e-5}, {0.1, 1000, 0.5}} {
		c := *strong()
		d := &calibration.Doubt{Read: c.Doubt.Read, Tablet: &calibration.TabletDoubt{Density: []float64{1}}}
		column := func(v float64) []float64 {
			out := make([]float64, len(c.Ink.Percent))
			for i := range out {
				out[i] = v * (1 - 0.001*float64(i%7))
			}
			return out
		}
		for range 3 {
			d.Factors = append(d.Factors, column(test.factor))
			d.Tablet.Factors = append(d.Tablet.Factors, column(test.factor)[:1])
		}
		for range 4 {
			d.Further = append(d.Further, column(test.further))
			d.Tablet.Further = append(d.Tablet.Further, column(test.further)[:1])
		}
		d.Noise = column(test.noise)
		d.Tablet.Noise = d.Noise[:1]
		c.Doubt = d
		p := levelsOf(t, belief(t, &c), 20, LevelOptions{})
		for _, v := range append(p.Ink, p.Before.Average, p.Before.Largest, p.After.Average, p.After.Largest) {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Errorf("%+v: %+v", test, p)
			}
		}
	}
}

func TestVerdict(t *testing.T) {
	for _, test := range []struct {
		before, after Band
		worth         bool
		words         string
	}{
		{Band{0.5, 0.9}, Band{0.4, 0.7}, true, "narrows the band by 20 %"},
		{Band{0.25, 0.45}, Band{0.15, 0.3}, false, "known to +- 0.25 L* already"},
		{Band{0.25, 0.6}, Band{0.15, 0.3}, true, "by 40 %"}, // somewhere it is seen
		{Band{0.5, 0.9}, Band{0.47, 0.8}, false, "by 6 %, less than a tenth"},
		{Band{0.5, 0.9}, Band{0.5, 0.9}, false, "by 0 %"},
	} {
		v := verdict(test.before, test.after)
		if v.Worth != test.worth || !strings.Contains(v.Why, test.words) {
			t.Errorf("%+v to %+v: %+v", test.before, test.after, v)
		}
	}
}
