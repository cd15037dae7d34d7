package report

// CharacteristicCurve returns the figure of a process: print density against
// log exposure. Readings lie at the log exposure that reached them. Guides mark
// what the trade reads off the curve: paper white, black.
func CharacteristicCurve(curve Series, readings []Points, guides []Guide) Figure {
	return Figure{
		Title:  "Characteristic curve",
		X:      Axis{Label: "log exposure (log10; 0 is clear film, 0.30 is one stop)"},
		Y:      Axis{Label: "print density (log10)"},
		Series: []Series{curve}, Points: readings, Guides: guides,
	}
}

// UVDensity returns the figure of an ink ramp: UV density, net above clear
// film, against film ink in per cent.
func UVDensity(ramp Series, readings []Points, guides []Guide) Figure {
	return Figure{
		Title:  "UV density of the ink",
		X:      Axis{Label: "film ink (%)", Max: 100},
		Y:      Axis{Label: "UV density, net above clear film (log10)"},
		Series: []Series{ramp}, Points: readings, Guides: guides,
	}
}

// InkCurve returns the figure of the curve: film ink in per cent against
// picture tone in L*.
func InkCurve(curve Series, guides []Guide) Figure {
	return Figure{
		Title:  "Curve: picture tone to film ink",
		X:      Axis{Label: "picture tone (L*)", Max: 100},
		Y:      Axis{Label: "film ink (%)", Max: 100},
		Series: []Series{curve}, Guides: guides,
	}
}

// ExpectedPrint returns the figure of the print to expect, in L*, against
// picture tone in L*, with the aim beside it.
func ExpectedPrint(expected, aim Series, readings []Points) Figure {
	aim.Aim = true
	return Figure{
		Title:  "The print to expect",
		X:      Axis{Label: "picture tone (L*)", Max: 100},
		Y:      Axis{Label: "print tone (L*)", Max: 100},
		Series: []Series{expected, aim}, Points: readings,
	}
}

// InkToPrint returns the figure of what the ramp shows without any model: print
// tone in L* against film ink in per cent, with the readings.
func InkToPrint(ramp Series, readings []Points) Figure {
	return Figure{
		Title:  "Film ink to print tone",
		X:      Axis{Label: "film ink (%)", Max: 100},
		Y:      Axis{Label: "print tone (L*)", Max: 100},
		Series: []Series{ramp}, Points: readings,
	}
}
