package calibration

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"

	"actinic/process/measure"
)

// Excess variance of thirteen trials of a vaccine, log relative risks with their
// variances (Colditz et al., JAMA 271 (1994) 698-702): by the equation of Paule
// and Mandel 0.3181 about a mean of -0.7150 (scipy's brentq on that equation).
func TestExcessOfStatedDoubt(t *testing.T) {
	y := []float64{-0.8893, -1.5854, -1.3481, -1.4416, -0.2175, -0.7861, -1.6209, 0.0120, -0.4694, -1.3713, -0.3394, 0.4459, -0.0173}
	v := []float64{0.3256, 0.1946, 0.4154, 0.0200, 0.0512, 0.0069, 0.2230, 0.0040, 0.0564, 0.0730, 0.0124, 0.5325, 0.0714}
	var rs residuals
	for i := range y {
		rs = append(rs, weighted{1, y[i] + 0.7150, math.Sqrt(v[i])})
	}
	g := groupNoise{stated: true, least: leastNoise}
	g.estimate(rs, float64(len(y)-1))
	near(t, "excess variance", g.excess*g.excess, 0.3181, 2e-4)
	near(t, "factor", g.factor, 1, 0)
}

// Stated uncertainties that are too large are scaled down; readings that state
// none share one noise: by hand.
func TestNoiseOfGroups(t *testing.T) {
	rs := residuals{{1, 0.3, 1}, {1, -0.3, 1}, {1, 0.6, 2}}
	for _, stated := range []bool{true, false} {
		g := groupNoise{stated: stated, least: leastNoise}
		g.estimate(rs, 3)
		near(t, "factor", g.factor, 0.3, 1e-12) // sqrt((0.09 + 0.09 + 0.36/4)/3)
		near(t, "excess", g.excess, 0, 0)
	}
	g := groupNoise{stated: true, least: leastNoise}
	g.estimate(residuals{{1, 0, 1}, {1, 0, 1}}, 2)
	near(t, "factor of faultless readings", g.factor, leastNoise, 0)
	near(t, "noise", groupNoise{factor: 2, excess: 3}.of(2), 5, 1e-15)
}

// Readings of a scan know their patch to 0.1 to 0.4 L* and nothing of the paper's
// mottle: the bands stay honest, and the tone error is no more than without what
// they state.
func TestMottleBeyondStatedDoubt(t *testing.T) {
	t.Parallel()
	seeds := uint64(max(4, *runsFlag/16))
	for _, mottle := range []float64{0, 0.4} {
		a := unevenScene{scene: darkroomScene(), light: 0.03, coating: 0.03, stated: true, mottle: mottle}
		told := a.try(t, seeds, nil)
		told.log(t, "stated")
		var untold []float64
		for i := range seeds {
			if a.uv = smoothInk; i%2 == 1 {
				a.uv = kinkedInk
			}
			p := a.print(1000**seedFlag + i)
			silent := func(r *measure.Reading, _ int) { r.SD = math.NaN() }
			e, err := Fit([]Print{{Ramp: altered(p.Ramp, silent), Tablet: altered(p.Tablet, silent)}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			untold = append(untold, a.error(e))
		}
		t.Logf("mottle %g L*: tone error %.3f L*, %.3f without what readings state", mottle, stat.Mean(told.tone, nil), stat.Mean(untold, nil))
		if stat.Mean(told.tone, nil) > 1.1*stat.Mean(untold, nil) {
			t.Errorf("mottle %g L*: tone error %.3f L*, %.3f without what readings state", mottle, stat.Mean(told.tone, nil), stat.Mean(untold, nil))
		}
		if h := stat.Mean(told.held, nil); h < 0.85 {
			t.Errorf("mottle %g L*: the bands hold %.3f of the truth", mottle, h)
		}
	}
}
