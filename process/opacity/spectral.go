package opacity

import "sort"

// Spectrum is a quantity over wavelength: straight from each of its points to
// the next, and beyond its ends unknown, never extrapolated. Wavelengths rise;
// there is at least one, and a value for each.
type Spectrum struct {
	Name          string
	File          string // that it was read from, for messages; "" if built in
	WavelengthsNM []float64
	Values        []float64 // transmittance 0 to 1, or relative
	// Complete says that there is nothing beyond the ends: the value there is
	// known, and 0.
	Complete bool
}

// At returns the value at a wavelength, and whether it is known there.
func (s Spectrum) At(nm float64) (value float64, known bool) {
	low, high := s.Ends()
	if !(nm >= low && nm <= high) {
		return 0, s.Complete
	}
	i := sort.SearchFloat64s(s.WavelengthsNM, nm)
	if s.WavelengthsNM[i] == nm {
		return s.Values[i], true
	}
	a, b := s.WavelengthsNM[i-1], s.WavelengthsNM[i]
	t := (nm - a) / (b - a)
	return s.Values[i-1] + float64(t*(s.Values[i]-s.Values[i-1])), true
}

// Ends returns the first and the last wavelength, nm.
func (s Spectrum) Ends() (low, high float64) {
	return s.WavelengthsNM[0], s.WavelengthsNM[len(s.WavelengthsNM)-1]
}

// finest returns the least distance between two points, nm, or most if that is
// less.
func (s Spectrum) finest(most float64) float64 {
	for i := 1; i < len(s.WavelengthsNM); i++ {
		most = min(most, s.WavelengthsNM[i]-s.WavelengthsNM[i-1])
	}
	return most
}
