package report

import "math"

// rising returns n points of a soft S from low to high over x0 to x1, with a
// band that is widest where the curve is steepest.
func rising(name string, n int, x0, x1, low, high, doubt float64) Series {
	s := Series{Name: name}
	for i := range n {
		u := float64(i) / float64(n-1)
		y := low + (high-low)*0.5*(1+math.Tanh(5*(u-0.55)))
		d := doubt * (0.3 + math.Sin(math.Pi*u))
		s.X, s.Y = append(s.X, x0+(x1-x0)*u), append(s.Y, y)
		s.Low, s.High = append(s.Low, y-d), append(s.High, y+d)
	}
	return s
}

// readingsOf returns every k-th point of a line, off by a little in turn.
func readingsOf(name string, s Series, k int, off float64) Points {
	p := Points{Name: name}
	for i := 0; i < len(s.X); i += k {
		p.X = append(p.X, s.X[i])
		p.Y = append(p.Y, s.Y[i]+off*math.Sin(float64(7*i)))
	}
	return p
}

// sampleFigures are the four figures as a calibration would fill them, one with
// many names, and a print that falls short of its aim.
func sampleFigures() map[string]Figure {
	paper := rising("characteristic curve", 200, -3.2, 0.1, 0.08, 1.42, 0.03)
	leftOut := Points{Name: "left out: dust, pinholes", X: []float64{-1.1}, Y: []float64{0.3}, Spoiled: true}
	ink := rising("UV density", 200, 0, 100, 0, 2.6, 0.05)
	curve := rising("film ink", 200, 0, 100, 0, 100, 1.5)
	printed := rising("print to expect", 200, 0, 100, 24, 95, 0.8)
	aim := Series{Name: "aim", X: []float64{0, 100}, Y: []float64{24, 95}}
	near := Series{Name: "print to expect"}
	for tone := 0.0; tone <= 100; tone++ {
		y := 24 + 0.71*tone - 0.03*max(0, tone-90)*(tone-90)
		near.X, near.Y = append(near.X, tone), append(near.Y, y)
		near.Low, near.High = append(near.Low, y-1.2), append(near.High, y+1.2)
	}
	return map[string]Figure{
		"colours":   RankedColours(sampleBars(), 1.85),
		"gradation": Gradation(Series{Name: "straight way", X: ink.X, Y: ink.Y}, Series{Name: "ink blend", X: []float64{0, 40, 100}, Y: []float64{0, 1.1, 2.6}}, 2.3),
		"characteristic": CharacteristicCurve(paper,
			[]Points{readingsOf("step tablet, print 1", paper, 9, 0.02), readingsOf("film ink, print 1", paper, 5, 0.03), leftOut},
			[]Guide{GuideAtX("paper white", -2.6), GuideAtX("black", -0.05), GuideAtY("maximum density", 1.44)}),
		"uvdensity":  UVDensity(ink, []Points{readingsOf("film ink, print 1", ink, 5, 0.04)}, []Guide{GuideAtY("needed range", 2.3)}),
		"curve":      InkCurve(curve, nil),
		"fallsshort": ExpectedPrint(near, aim, nil),
		"two inks": {
			Title:  "UV density of two inks",
			X:      Axis{Label: "film ink (%)", Max: 100},
			Y:      Axis{Label: "UV density, net above clear film (log10)"},
			Series: []Series{ink, rising("UV density, second bottle of ink", 100, 0, 100, 0, 2.1, 0.05), rising("third bottle", 100, 0, 100, 0, 1.6, 0.02)},
			Points: []Points{readingsOf("readings, a print with a long name", ink, 7, 0.05)},
			Guides: []Guide{GuideAtX("first", 50), GuideAtX("near by", 51), GuideAtX("at the end", 100)},
		},
		"print": ExpectedPrint(printed, aim, nil),
	}
}
