package calibration

// printExposures says of each print given how it stands to the others: as fitted,
// and for prints left out as they were judged.
func (e *Estimate) printExposures() []PrintExposure {
	if e.Agreement == nil {
		var out []PrintExposure
		for k := range e.prints {
			out = append(out, e.printExposure(k))
		}
		return out
	}
	var out []PrintExposure
	k := 0 // among those in the fit
	for i := range e.Agreement {
		g := &e.Agreement[i]
		p := PrintExposure{Offset: g.Offset, Contrast: g.Contrast}
		if !g.dropped {
			p = e.printExposure(k)
			k++
		}
		p.Print, p.Readings, p.LeftOut = g.Print, g.Readings, g.LeftOut
		p.Paper, p.Black, p.InkStrength, p.Shape = g.Paper, g.Black, g.Strength, g.Shape
		p.Differs = []string{}
		for _, d := range g.Differs {
			p.Differs = append(p.Differs, d.String())
		}
		out = append(out, p)
	}
	return out
}

// printExposure is how print k of the fit stands to the mean of all.
func (e *Estimate) printExposure(k int) PrintExposure {
	p := PrintExposure{Print: e.prints[k].number, Readings: e.prints[k].name(), Differs: []string{}}
	if at := e.fit.deviation(k); at >= 0 {
		p.Offset = e.parameter(at + 2)
		p.Contrast = e.parameter(at + 3)
	}
	return p
}
