package darkroom_test

import (
	"math"
	"sort"

	"actinic/negative/darkroom"
	"actinic/process/monotone"
)

// printTone is an estimate of the print's L* under a film ink of 0 to 100 %.
type printTone func(ink float64) float64

// averaged returns the levels of a ramp and the isotonic fit to the means of
// their repeats.
func averaged(rs []darkroom.Reading) (ink, tone []float64) {
	sum, count := map[float64]float64{}, map[float64]float64{}
	for _, r := range rs {
		if count[r.Ink] == 0 {
			ink = append(ink, r.Ink)
		}
		sum[r.Ink] += float64(r.Lightness)
		count[r.Ink]++
	}
	sort.Float64s(ink)
	var weight []float64
	for _, u := range ink {
		tone = append(tone, sum[u]/count[u])
		weight = append(weight, count[u])
	}
	iso, err := monotone.Isotonic(tone, weight, monotone.Increasing)
	if err != nil {
		panic(err)
	}
	return ink, iso
}

// textbook is the textbook way: average the repeats, make the means monotone by
// isotonic regression, join them by a monotone cubic.
func textbook(rs []darkroom.Reading) printTone {
	c, err := monotone.New(averaged(rs))
	if err != nil {
		panic(err)
	}
	return c.Held
}

// straightLines is the same with straight lines between the means.
func straightLines(rs []darkroom.Reading) printTone {
	ink, tone := averaged(rs)
	return func(u float64) float64 {
		i := min(max(1, sort.SearchFloat64s(ink, u)), len(ink)-1)
		t := (u - ink[i-1]) / (ink[i] - ink[i-1])
		return tone[i-1] + t*(tone[i]-tone[i-1])
	}
}

// inkFor inverts a print tone that rises with ink, by bisection.
func (p printTone) inkFor(tone float64) float64 {
	low, high := 0.0, 100.0
	for range 50 {
		if mid := (low + high) / 2; p(mid) < tone {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// errors returns how far the true print lies from each tone that the estimate
// was asked for.
func (p printTone) errors(s *darkroom.Setup, tones []float64) []float64 {
	out := make([]float64, len(tones))
	for i, l := range tones {
		out[i] = float64(s.PrintLightness(p.inkFor(l))) - l
	}
	return out
}

func rms(e []float64) float64 {
	t := 0.0
	for _, v := range e {
		t += v * v
	}
	return math.Sqrt(t / float64(len(e)))
}

// shapeError is the root mean square of what is left of errors after the
// straight line through them over tone.
func shapeError(tone, e []float64) float64 {
	n := float64(len(tone))
	var mt, me, stt, ste float64
	for i := range tone {
		mt += tone[i] / n
		me += e[i] / n
	}
	for i := range tone {
		stt += (tone[i] - mt) * (tone[i] - mt)
		ste += (tone[i] - mt) * (e[i] - me)
	}
	rest := make([]float64, len(e))
	for i := range e {
		rest[i] = e[i] - me - ste/stt*(tone[i]-mt)
	}
	return rms(rest)
}

func quantile(v []float64, q float64) float64 {
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	at := q * float64(len(s)-1)
	i := int(at)
	if i+1 >= len(s) {
		return s[len(s)-1]
	}
	return s[i] + (at-float64(i))*(s[i+1]-s[i])
}
