package scan

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/monotone"
)

// ScaleReport is what a grey scale says of a scanner.
type ScaleReport struct {
	Patches int `json:"patches"`
	// FlarePercent is stray light: what the scanner adds to every tone, in per
	// cent of white.
	FlarePercent float64 `json:"flare_percent"`
	// TonePower is the exponent by which the scan's tone curve is another than
	// its file claims: 1 where it is the same.
	TonePower float64 `json:"tone_power"`
	// LargestLstar is the most that the scan's own tone was wrong by at a patch.
	LargestLstar float64 `json:"largest_change_lstar"`
	// LeftLstar is the most that a patch differs from the map made of them all.
	LeftLstar float64  `json:"left_lstar"`
	Low, High float64  `json:"-"` // L* between which the scale holds
	Clipped   []string `json:"clipped"`
}

// pair is one patch of a grey scale: scanned reflectance and true reflectance.
type pair struct {
	id      string
	scanned float64
	truth   float64
}

// fitScale makes the tone table of a grey scale that was read in the scan.
//
// Flare adds the same light everywhere: scanned = gain x (flare + (1-flare) x
// true) ^ power, the power for a scanner whose tone is not the one its file
// claims. What is left is taken up by a monotone curve through the patches, in
// L*, and goes on a little beyond the last ones.
func fitScale(s *GreyScale, rs []Reading) (*toneTable, *ScaleReport, error) {
	report := &ScaleReport{Patches: len(rs), Clipped: []string{}}
	var pairs []pair
	for i, r := range rs {
		p := pair{id: r.ID, scanned: r.y, truth: float64(s.Patches[i].Density.Reflectance())}
		if r.seen.high > mostClipped || r.seen.low > mostClipped {
			report.Clipped = append(report.Clipped, r.ID)
			continue
		}
		pairs = append(pairs, p)
	}
	if len(pairs) < leastScale {
		return nil, nil, fault.New(s.File, "", fmt.Sprintf("%d of %d patches are clipped in the scan", len(report.Clipped), len(rs)),
			"scan again with the scanner's automatic contrast and exposure off")
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.scanned, b.scanned) })
	f := fitFlare(pairs)
	report.FlarePercent, report.TonePower = 100*f.flare, f.power
	curve, err := correction(pairs, f, report)
	if err != nil {
		return nil, nil, fault.Wrap(err, s.File, "", "", "check where the grey scale lies, and its densities")
	}
	return scaleTable(pairs, f, curve), report, nil
}

// flare is a scanner's answer to light: gain x (flare + (1-flare) y) ^ power.
type flare struct{ flare, gain, power float64 }

// scanned returns what a scanner makes of reflectance y.
func (f flare) scanned(y float64) float64 {
	return f.gain * math.Pow(f.flare+float64((1-f.flare)*y), f.power)
}

// truth is the inverse of scanned; never below the reflectance of density 4.
func (f flare) truth(scanned float64) float64 {
	return max((math.Pow(scanned/f.gain, 1/f.power)-f.flare)/(1-f.flare), 1e-4)
}

// fitFlare finds the three figures by going through flare and power on ever
// finer grids; the gain then follows.
func fitFlare(pairs []pair) flare {
	best, least := flare{}, math.Inf(1)
	flareAt, flareReach, powerAt, powerReach := 0.025, 0.025, 1.0, 0.4
	for range 12 {
		for i := -5; i <= 5; i++ {
			for j := -5; j <= 5; j++ {
				f := flare{flare: max(0, flareAt+float64(i)*flareReach/5), power: powerAt + float64(j)*powerReach/5}
				f.gain = f.bestGain(pairs)
				if c := f.misfit(pairs); c < least {
					best, least = f, c
				}
			}
		}
		flareAt, powerAt = best.flare, best.power
		flareReach, powerReach = flareReach/2, powerReach/2
	}
	return best
}

// bestGain is the gain that meets the patches on average, in density.
func (f flare) bestGain(pairs []pair) float64 {
	f.gain = 1
	sum := 0.0
	for _, p := range pairs {
		sum += math.Log(p.scanned / f.scanned(p.truth))
	}
	return math.Exp(sum / float64(len(pairs)))
}

// misfit is the sum of squares in L*, with a slight pull towards a power of 1:
// few patches do not tell flare and power apart, and flare is the usual one.
func (f flare) misfit(pairs []pair) float64 {
	pull := (f.power - 1) / 0.1
	sum := float64(pull * pull)
	for _, p := range pairs {
		d := (lightness(p.scanned) - lightness(f.scanned(p.truth))) / 0.3
		sum += float64(d * d)
	}
	return sum
}

// correction is the monotone curve from the L* that the flare formula gives to
// the true one.
func correction(pairs []pair, f flare, report *ScaleReport) (*monotone.Curve, error) {
	var x, y []float64
	for _, p := range pairs {
		x, y = append(x, lightness(f.truth(p.scanned))), append(y, lightness(p.truth))
		report.LargestLstar = max(report.LargestLstar, math.Abs(lightness(p.scanned)-lightness(p.truth)))
	}
	x, y = apart(x, y)
	level, err := monotone.Isotonic(y, nil, monotone.Increasing)
	if err != nil {
		return nil, err
	}
	for i := range y {
		report.LeftLstar = max(report.LeftLstar, math.Abs(level[i]-y[i]))
	}
	if len(x) < 2 {
		return nil, errors.New("the patches of the grey scale all look the same in the scan")
	}
	report.Low, report.High = level[0], level[len(level)-1]
	return monotone.New(x, level)
}

// apart means points whose x are closer than noise leaves them.
func apart(x, y []float64) (outX, outY []float64) {
	for i := 0; i < len(x); {
		j, sx, sy := i, 0.0, 0.0
		for ; j < len(x) && x[j]-x[i] < 0.3; j++ {
			sx, sy = sx+x[j], sy+y[j]
		}
		outX, outY = append(outX, sx/float64(j-i)), append(outY, sy/float64(j-i))
		i = j
	}
	return outX, outY
}

// beyondScale is how far the tone may go on beyond a grey scale's ends before it
// is a guess, in L*. A working value of ours.
const beyondScale = 2.0

// scaleTable tabulates the whole way from scanned light to reflectance. Beyond
// the curve's ends the formula goes on, moved to meet it.
func scaleTable(pairs []pair, f flare, curve *monotone.Curve) *toneTable {
	low, high := curve.Domain()
	t := newToneTable(func(y float64) float64 {
		l := lightness(f.truth(y))
		inside := min(max(l, low), high)
		l = curve.Held(inside) + (l - inside)
		return float64(density.Lightness(max(l, 0)).Reflectance())
	})
	t.low = toRoot(float32(f.scanned(reflectance(low - beyondScale))))
	t.high = toRoot(float32(min(f.scanned(reflectance(high+beyondScale)), 1)))
	return t
}

func reflectance(l float64) float64 {
	return float64(density.Lightness(max(l, 0)).Reflectance())
}
