package control

import "math"

// endWidth is how far, in L* of the aim, the ends of the scale reach.
const endWidth = 5

// summarise says what differences show by themselves.
func summarise(ps []place) Summary {
	var s Summary
	low, high := math.Inf(1), math.Inf(-1)
	sum, n := 0.0, 0.0
	for _, p := range ps {
		if p.Spoiled {
			continue
		}
		low, high = math.Min(low, p.Aim), math.Max(high, p.Aim)
		sum, n = sum+p.Difference*p.Difference, n+1
		if s.Worst == "" || math.Abs(p.Difference) > math.Abs(s.WorstBy) {
			s.Worst, s.WorstBy = p.ID, p.Difference
		}
	}
	s.Spread = math.Sqrt(sum / math.Max(1, n))
	third := (high - low) / 3
	shift := toneOver(ps, low, high)
	s.Shift = Value{Value: shift.Difference, SD: shift.SD}
	s.Black, s.Paper = toneOver(ps, low, low+endWidth), toneOver(ps, high-endWidth, high)
	s.MidTone = toneOver(ps, low+third, high-third)
	s.DarkBias, s.LightBias = biasOver(ps, low, low+third), biasOver(ps, high-third, high)
	if s.Black != nil && s.Black.Read > 0 {
		d := densityOf(s.Black.Read)
		s.MaximumDensity = &Value{Value: float64(d), SD: -s.Black.SD / d.LightnessSlope()}
	}
	return s
}

// toneOver is the mean of the patches whose aim lies in a span; nil where none
// does. Its doubt is that of the readings, and of the mean where they scatter
// more.
func toneOver(ps []place, low, high float64) *Tone {
	var t Tone
	n, noise := 0.0, 0.0
	for _, p := range ps {
		if p.Spoiled || p.Aim < low-1e-9 || p.Aim > high+1e-9 {
			continue
		}
		t.Read += p.Read
		t.Aim += p.Aim
		noise += p.noise * p.noise
		n++
	}
	if n == 0 {
		return nil
	}
	t.Read, t.Aim, t.SD = t.Read/n, t.Aim/n, math.Sqrt(noise)/n
	t.Difference = t.Read - t.Aim
	return &t
}

func biasOver(ps []place, low, high float64) *Value {
	t := toneOver(ps, low, high)
	if t == nil {
		return nil
	}
	return &Value{Value: t.Difference, SD: t.SD}
}
