package opacity

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"actinic/process/fault"
)

// Lamp is a source of light: its power against wavelength, relative.
type Lamp struct {
	Spectrum
	ID          string // how FindLamp is asked for it; "" if read from a file
	About       string // one line, with the word approximate where it is
	Approximate bool
	Sources     []string
	// Near are lamps that it may as well be: parts of one name differ.
	Near []Lamp
}

// MeasuredLamp returns the lamp of a measured spectrum, power in any unit; its
// file is its name.
func MeasuredLamp(s Spectrum) (Lamp, error) {
	if err := checkSome(s, "a lamp"); err != nil {
		return Lamp{}, err
	}
	about := "measured, column " + s.Name
	s.Name = filepath.Base(s.File)
	return Lamp{Spectrum: s, About: about, Sources: []string{"the file " + s.File}}, nil
}

// checkSome refuses a spectrum that is 0 all over.
func checkSome(s Spectrum, noun string) error {
	for _, v := range s.Values {
		if v > 0 {
			return nil
		}
	}
	return fault.New(s.File, "sample "+s.Name, "no value above 0, expected the spectrum of "+noun, "")
}

// Lamps returns the built-in lamps: an example of each LED, tubes and daylight.
func Lamps() []Lamp {
	var all []Lamp
	for _, peak := range []float64{365, 385, 395, 405} {
		all = append(all, led(peak, usualWidth(peak), true))
	}
	return append(append(all, tubes()...), daylights()...)
}

// LampForms says how built-in lamps are named.
const LampForms = "led:365 (peak in nm), led:365x10 (with half-width), tube:350, tube:370, d50, d55 or d65"

// FindLamp returns the built-in lamp of a name, in any case: see LampForms. Its
// error is a *fault.Error.
func FindLamp(name string) (Lamp, error) {
	want := strings.ToLower(strings.TrimSpace(name))
	if text, found := strings.CutPrefix(want, "led:"); found {
		return findLED(text)
	}
	for _, l := range Lamps() {
		if l.ID == want {
			return l, nil
		}
	}
	return Lamp{}, fault.New("", "lamp "+short(name), "no built-in lamp has this name, expected "+LampForms,
		"or give the file of a measured lamp, with the columns wavelength_nm and one of its power")
}

// short returns a name in quotes, cut where it is long.
func short(name string) string {
	if r := []rune(name); len(r) > 40 {
		name = string(r[:40]) + "..."
	}
	return strconv.Quote(name)
}

// LEDs for printing peak between these; a band narrower than the least width
// would fall between the steps, and one wider than the most is no LED (working
// values of ours).
const (
	leastPeakNM, mostPeakNM   = 340, 460
	leastWidthNM, mostWidthNM = 4, 40
)

func findLED(text string) (Lamp, error) {
	peakText, widthText, given := strings.Cut(text, "x")
	peak, err := strconv.ParseFloat(peakText, 64)
	var width float64
	var widthErr error
	if given {
		width, widthErr = strconv.ParseFloat(widthText, 64)
	} else {
		width = usualWidth(peak)
	}
	if errors.Join(err, widthErr) != nil || !(peak >= leastPeakNM && peak <= mostPeakNM) || !(width >= leastWidthNM && width <= mostWidthNM) {
		return Lamp{}, fault.New("", "lamp "+short("led:"+text),
			fmt.Sprintf("expected a peak of %d to %d nm and a half-width of %d to %d nm", leastPeakNM, mostPeakNM, leastWidthNM, mostWidthNM),
			"write led:365 or led:365x10")
	}
	l := led(peak, width, true)
	if !given {
		l.ID = fmt.Sprintf("led:%g", peak)
		l.Name = l.ID
	}
	return l, nil
}

// usualWidth returns the half-width of an LED by its peak, nm. Measured parts
// have 8.5 and 10.8 at 366 to 368, 11.7 and 13.1 at 385 to 388, 13.1 at 391 and
// 19.2 at 405 nm (ledSource).
func usualWidth(peakNM float64) float64 { return max(10+0.15*(peakNM-365), leastWidthNM) }

const (
	// LEDs sold by a round number peak some 2 to 4 nm off it (ledSource).
	ledPeakOff = 4
	// The long-wave flank leaves the Gaussian for a tail that falls by e in
	// width/ledTail: within a factor of 1.5 of eleven of the figures that are
	// quoted for six measured parts, up to 30 nm beyond their peaks.
	ledTail   = 1.6
	ledSource = "generic shape of our own, from peaks, half-widths and tails of six LEDs measured by P. J. Aphalo and others, photobiologyLEDs 0.5.3"
)

// led returns an LED by its peak and its full width at half maximum, nm: a
// Gaussian with a long-wave tail; with near, also those that it may as well be.
func led(peakNM, widthNM float64, near bool) Lamp {
	id := fmt.Sprintf("led:%gx%g", peakNM, widthNM)
	if near && widthNM == usualWidth(peakNM) {
		id = fmt.Sprintf("led:%g", peakNM)
	}
	l := Lamp{ID: id, Approximate: true, Sources: []string{ledSource},
		About: fmt.Sprintf("approximate: LED, peak %g nm, half-width %g nm, a tail towards long waves", peakNM, widthNM)}
	l.Spectrum = sampled(id, peakNM-3*widthNM, peakNM+9*widthNM, func(nm float64) float64 {
		x := (nm - peakNM) / widthNM
		if x > tailFrom {
			return math.Exp(-ledTail * x)
		}
		return bell(x)
	})
	if near {
		for _, off := range []float64{-ledPeakOff, ledPeakOff} {
			l.Near = append(l.Near, led(peakNM+off, widthNM, false))
		}
		l.Near = append(l.Near, gaussian(peakNM, widthNM))
	}
	return l
}

// tailFrom is where the tail crosses the Gaussian, in half-widths from the peak.
const tailFrom = ledTail / (4 * math.Ln2)

// gaussian is the same LED without a tail: a lamp behind a filter, or a part
// whose tail was the instrument's stray light.
func gaussian(peakNM, widthNM float64) Lamp {
	l := Lamp{Approximate: true, Sources: []string{ledSource}, About: "approximate: LED without a tail"}
	l.Spectrum = sampled(fmt.Sprintf("led:%gx%g without a tail", peakNM, widthNM), peakNM-3*widthNM, peakNM+3*widthNM,
		func(nm float64) float64 { return bell((nm - peakNM) / widthNM) })
	return l
}

// bell is a Gaussian of height 1; x counts full widths at half maximum.
func bell(x float64) float64 { return math.Exp(-4 * math.Ln2 * float64(x*x)) }

// sampled returns a complete spectrum of values at whole nanometres.
func sampled(name string, lowNM, highNM float64, value func(nm float64) float64) Spectrum {
	s := Spectrum{Name: name, Complete: true}
	for nm := math.Floor(lowNM); nm <= highNM; nm++ {
		s.WavelengthsNM, s.Values = append(s.WavelengthsNM, nm), append(s.Values, value(nm))
	}
	return s
}
