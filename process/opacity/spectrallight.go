package opacity

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
)

// Light is what acts on a sensitiser: the lamp's power times the sensitiser's
// answer, the spectral product of ISO 5-1, in equal steps of wavelength.
type Light struct {
	Name   string // lamp on sensitiser, for messages
	nm     []float64
	weight []float64
	total  float64
}

const (
	// stepNM is the step of the sums. Lamps with finer tables get a finer one,
	// so that no line of theirs falls between, down to leastStepNM.
	stepNM, leastStepNM = 1, 0.1
	mostSteps           = 20_000 // tables may run to 20 um
	// A lamp's or sensitiser's own table that ends where this share of the
	// largest product is left may have cut off something that matters; one that
	// ends lower may not (a working value of ours).
	mostCutOff = 0.05
	// MostUncovered is the largest share of the acting light that may lie where a
	// table of film or ink says nothing (a working value of ours). What it leaves
	// open is in the bounds of a prediction.
	MostUncovered = 0.01
)

// NewLight returns the light of a lamp that acts on a sensitiser. It fails with a
// *fault.Error where the two have no wavelength in common, and where a table
// ends while there is still light that acts.
func NewLight(lamp Lamp, sensitiser Sensitiser) (*Light, error) {
	l := &Light{Name: lamp.Name + " on " + sensitiser.Name}
	low, high := overlap(lamp.Spectrum, sensitiser.Spectrum)
	step := max(sensitiser.finest(lamp.finest(stepNM)), leastStepNM, (high-low)/mostSteps)
	for i := math.Ceil(low / step); i*step <= high; i++ {
		power, _ := lamp.At(i * step)
		answer, _ := sensitiser.At(i * step)
		l.nm, l.weight = append(l.nm, i*step), append(l.weight, power*answer)
		l.total += power * answer
	}
	if !(l.total > 0) || math.IsInf(l.total, 1) {
		return nil, noLight(lamp, sensitiser)
	}
	for _, s := range []Spectrum{lamp.Spectrum, sensitiser.Spectrum} {
		if err := l.checkEnds(s); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// overlap returns the wavelengths that two spectra have in common, nm; low is
// above high where there is none.
func overlap(a, b Spectrum) (low, high float64) {
	lowA, highA := a.Ends()
	lowB, highB := b.Ends()
	return max(lowA, lowB), min(highA, highB)
}

func noLight(lamp Lamp, sensitiser Sensitiser) error {
	low, high := lamp.Ends()
	from, to := sensitiser.Ends()
	file := lamp.File
	if file == "" {
		file = sensitiser.File
	}
	return fault.New(file, "", fmt.Sprintf("the lamp (%s, %g to %g nm) gives no light that acts on the sensitiser (%s, %g to %g nm)",
		lamp.Name, low, high, sensitiser.Name, from, to),
		"check that both are in nanometres, and that each has values above 0 where the other has")
}

// checkEnds refuses a table that ends, unknown beyond, amid light that acts.
func (l *Light) checkEnds(s Spectrum) error {
	if s.Complete {
		return nil
	}
	low, high := s.Ends()
	most := 0.0
	for _, w := range l.weight {
		most = max(most, w)
	}
	for _, end := range []struct {
		nm    float64
		index int
	}{{low, 0}, {high, len(l.nm) - 1}} {
		left := l.weight[end.index] / most
		if math.Abs(l.nm[end.index]-end.nm) < stepNM && left > mostCutOff {
			return fault.New(s.File, "", fmt.Sprintf("ends at %g nm, where %.0f %% of the strongest acting light is left (%s); expected under %.0f %%",
				end.nm, 100*left, l.Name, 100*mostCutOff), "measure further, or add rows that say how it falls to 0")
		}
	}
	return nil
}

// Band returns the wavelengths between which the middle 90 % of the light acts,
// and their mean, nm.
func (l *Light) Band() (low, mean, high float64) {
	low, high = math.NaN(), math.NaN()
	sum, moment := 0.0, 0.0
	for i, w := range l.weight {
		sum += w
		moment += float64(w * l.nm[i])
		if math.IsNaN(low) && sum >= 0.05*l.total {
			low = l.nm[i]
		}
		if math.IsNaN(high) && sum >= 0.95*l.total {
			high = l.nm[i]
		}
	}
	return low, moment / l.total, high
}

// Density is a UV density from spectra.
type Density struct {
	UVDensity density.Density // +Inf where the tables show no light at all behind it
	// AtLeast and AtMost are what it is if the light for which the tables say
	// nothing all passes, or is all stopped.
	AtLeast, AtMost density.Density
	Uncovered       float64 // share of the acting light for which the tables say nothing
}

// weighted returns the UV density of what passes through against through before:
// -log10 of the sum of weight x after over the sum of weight x before. Where
// either is unknown nothing is summed.
//
// Source: ISO 5-1:2009, transmittance density by influx spectrum and spectral
// sensitivity, in its form as a sum.
func (l *Light) weighted(before, after func(nm float64) (float64, bool)) Density {
	var in, out, dark float64
	for i, w := range l.weight {
		b, knownBefore := before(l.nm[i])
		a, knownAfter := after(l.nm[i])
		if !knownBefore || !knownAfter {
			dark += w
			continue
		}
		in += float64(w * b)
		out += float64(w * a)
	}
	share := dark / l.total
	t := density.Reflectance(out / in)
	bound := func(passes float64) density.Density {
		return density.Reflectance(float64(float64(t)*(1-share)) + float64(share*passes)).Density()
	}
	return Density{UVDensity: t.Density(), AtLeast: bound(1), AtMost: bound(0), Uncovered: share}
}
