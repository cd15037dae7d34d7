package opacity

import (
	"math"
	"path/filepath"
	"strings"
	"sync"

	"actinic/process/fault"
)

// Sensitiser is what a coating answers to: effect per unit of power against
// wavelength, relative.
type Sensitiser struct {
	Spectrum
	ID          string // how FindSensitiser is asked for it; "" if read from a file
	About       string // one line, with the word approximate where it is
	Approximate bool
	Sources     []string
}

// MeasuredSensitiser returns the sensitiser of a measured spectrum: effect per
// unit of power at each wavelength, in any unit; its file is its name.
func MeasuredSensitiser(s Spectrum) (Sensitiser, error) {
	if err := checkSome(s, "a sensitiser"); err != nil {
		return Sensitiser{}, err
	}
	about := "measured, column " + s.Name
	s.Name = filepath.Base(s.File)
	return Sensitiser{Spectrum: s, About: about, Sources: []string{"the file " + s.File}}, nil
}

// abouts says in a line what each proxy stands for, in the order of the list.
var abouts = []struct{ id, about string }{
	{"ferric", "approximate: ferric oxalate (platinum, palladium, kallitype, new cyanotype), absorbed light times quantum yield"},
	{"citrate", "approximate: ferric citrate (cyanotype, Van Dyke), absorbed light"},
	{"dichromate", "approximate: dichromate in colloid (gum, carbon), absorbed light"},
	{"silver", "approximate: silver chloride (salted paper, albumen), absorbed light"},
	{"flat", "approximate: the same answer from 300 to 450 nm, for comparison"},
}

// Sensitisers returns the built-in sensitisers; all are approximate.
var Sensitisers = sync.OnceValue(func() []Sensitiser {
	var all []Sensitiser
	table := readData("sensitisers.csv")
	for _, a := range abouts {
		s := Sensitiser{ID: a.id, About: a.about, Approximate: true}
		s.Spectrum = Spectrum{Name: a.id, Complete: true}
		for _, row := range table.where("sensitiser", a.id) {
			nm := row.number("wavelength_nm")
			s.WavelengthsNM = append(s.WavelengthsNM, nm)
			s.Values = append(s.Values, answer(nm, row))
			s.Sources = appendNew(s.Sources, row.text("source"))
		}
		all = append(all, s)
	}
	return all
})

// referenceNM is where an absorbed photon counts once.
const referenceNM = 365

// answer returns the effect per unit of power at a wavelength: the share of light
// absorbed, 1 - 10^-A, times the quantum yield, times the photons in a unit of
// power, which go with the wavelength. A row without absorbance gives the answer
// itself.
func answer(nm float64, row dataRow) float64 {
	if row.text("absorbance") == "" {
		return row.number("quantum_yield")
	}
	absorbed := 1 - math.Pow(10, -float64(row.number("absorbance")*row.number("layer")))
	return absorbed * row.number("quantum_yield") * nm / referenceNM
}

// SensitiserNames lists how built-in sensitisers are named.
const SensitiserNames = "ferric, citrate, dichromate, silver or flat"

// FindSensitiser returns the built-in sensitiser of a name, in any case. Its
// error is a *fault.Error.
func FindSensitiser(name string) (Sensitiser, error) {
	for _, s := range Sensitisers() {
		if s.ID == strings.ToLower(strings.TrimSpace(name)) {
			return s, nil
		}
	}
	return Sensitiser{}, fault.New("", "sensitiser "+short(name), "no built-in sensitiser has this name, expected "+SensitiserNames,
		"or give the file of a measured one, with the columns wavelength_nm and one of its answer")
}
