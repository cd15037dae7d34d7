package opacity

import (
	"fmt"
	"sync"
)

// band is one band of a tube: a phosphor's, or a line of its mercury.
type band struct {
	peakNM, widthNM, height float64
	mercury                 bool
}

// tubes returns the phosphor tubes of data/tubes.csv.
var tubes = sync.OnceValue(func() []Lamp {
	var all []Lamp
	table := readData("tubes.csv")
	for _, id := range table.distinct("lamp") {
		var bands []band
		l := Lamp{ID: id, Approximate: true}
		for _, row := range table.where("lamp", id) {
			bands = append(bands, band{row.number("peak_nm"), row.number("width_nm"), row.number("height"), row.text("kind") == "mercury line"})
			l.Sources = appendNew(l.Sources, row.text("source"))
		}
		l.About = fmt.Sprintf("approximate: fluorescent tube, phosphor peak %g nm, with lines of mercury", bands[0].peakNM)
		l.Spectrum = tube(id, bands, 0, 1)
		for _, v := range tubeVariants {
			l.Near = append(l.Near, Lamp{Spectrum: tube(id+v.words, bands, v.shiftNM, v.mercury), Approximate: true, Sources: l.Sources})
		}
		all = append(all, l)
	}
	return all
})

// tubeVariants are what a tube of a name may as well be: makers' phosphors peak
// some 5 nm apart, and filter glass takes the lines away while old phosphor
// lets more of them through (from memory).
var tubeVariants = []struct {
	words            string
	shiftNM, mercury float64
}{{" 5 nm shorter", -5, 1}, {" 5 nm longer", 5, 1}, {" without mercury lines", 0, 0}, {" with strong mercury lines", 0, 3}}

// tube sums bands, phosphor moved by shiftNM and mercury lines times mercury.
func tube(name string, bands []band, shiftNM, mercury float64) Spectrum {
	return sampled(name, 300, 470, func(nm float64) float64 {
		sum := 0.0
		for _, b := range bands {
			at, height := b.peakNM+shiftNM, b.height
			if b.mercury {
				at, height = b.peakNM, b.height*mercury
			}
			sum += float64(height * bell((nm-at)/b.widthNM))
		}
		return sum
	})
}

// daylights returns CIE daylight from 300 nm on.
var daylights = sync.OnceValue(func() []Lamp {
	table := readData("daylight.csv")
	names := []string{"D50", "D55", "D65"}
	all := make([]Lamp, len(names))
	for i, name := range names {
		all[i] = Lamp{ID: "d" + name[1:], Approximate: true, Sources: table.sources,
			About: fmt.Sprintf("approximate: CIE daylight %s from 300 nm; real daylight changes with sun and cloud", name)}
		all[i].Spectrum = Spectrum{Name: all[i].ID, Complete: true,
			WavelengthsNM: table.column("wavelength_nm"), Values: table.column(name)}
	}
	for i := range all {
		for k, other := range all[:3] {
			if k != i {
				other.Near = nil
				all[i].Near = append(all[i].Near, other)
			}
		}
	}
	return all
})
