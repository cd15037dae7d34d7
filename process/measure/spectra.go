package measure

import (
	"fmt"
	"math"
)

// A transmittance a little above 1 is noise or a bad reference; beyond 1.5 it is
// per cent.
const maxTransmittance = 1.5

// spectra reads a column of rising wavelengths and one column a sample into t.
func (g *grid) spectra(t *Table, relative bool) error {
	w := g.Column(colWavelength)
	if len(g.Header) < 2 {
		return g.Fault(g.HeaderLine, "", "no samples, expected a column for each next to wavelength_nm", "")
	}
	for i, name := range g.Header {
		if i != w {
			t.Samples = append(t.Samples, Sample{Name: name, Values: make([]float64, len(g.Rows))})
		}
	}
	if err := g.wavelengths(t, w); err != nil {
		return err
	}
	b := bounds{"a transmittance, 0 to 1", 0, maxTransmittance,
		"set noise below zero to 0 yourself", "this looks like per cent: divide by 100"}
	if relative {
		b = bounds{"a relative value, 0 or more", 0, math.Inf(1), "set noise below zero to 0 yourself", ""}
	}
	for i, row := range g.Rows {
		k := 0
		for col := range g.Header {
			if col == w {
				continue
			}
			v, err := boundedNumber(g.Table, row, col, b)
			if err != nil {
				return err
			}
			t.Samples[k].Values[i] = v
			k++
		}
	}
	return nil
}

func (g *grid) wavelengths(t *Table, w int) error {
	for i, row := range g.Rows {
		nm, err := boundedNumber(g.Table, row, w, columnBounds[colWavelength])
		if err != nil {
			return err
		}
		if i > 0 && nm <= t.WavelengthsNM[i-1] {
			return g.Fault(row.Line, g.Header[w], fmt.Sprintf("found %s after %g, expected rising wavelengths",
				row.Cells[w], t.WavelengthsNM[i-1]), "sort the rows by wavelength, each once")
		}
		t.WavelengthsNM = append(t.WavelengthsNM, nm)
	}
	return nil
}
