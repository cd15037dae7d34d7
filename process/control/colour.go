package control

import "math"

// CIEDE2000 returns the colour difference of two CIE L*a*b* colours with all
// weights 1 (CIE 142:2001, ISO/CIE 11664-6; in the form of Sharma, Wu & Dalal,
// Color Res. Appl. 30 (2005) 21-30).
func CIEDE2000(one, two [3]float64) float64 {
	cBar := (math.Hypot(one[1], one[2]) + math.Hypot(two[1], two[2])) / 2
	g := 0.5 * (1 - math.Sqrt(share7(cBar)))
	a1, a2 := (1+g)*one[1], (1+g)*two[1]
	c1, c2 := math.Hypot(a1, one[2]), math.Hypot(a2, two[2])
	h1, h2 := hueDegrees(a1, one[2]), hueDegrees(a2, two[2])
	dL, dC := two[0]-one[0], c2-c1
	turn, hBar := hues(h1, h2, c1*c2 == 0)
	dH := 2 * math.Sqrt(c1*c2) * sinDegrees(turn/2)
	lBar, cMean := (one[0]+two[0])/2, (c1+c2)/2
	t := 1 - 0.17*cosDegrees(hBar-30) + 0.24*cosDegrees(2*hBar) + 0.32*cosDegrees(3*hBar+6) - 0.20*cosDegrees(4*hBar-63)
	l50 := (lBar - 50) * (lBar - 50)
	sL := 1 + 0.015*l50/math.Sqrt(20+l50)
	sC, sH := 1+0.045*cMean, 1+0.015*cMean*t
	bend := (hBar - 275) / 25
	rT := -2 * math.Sqrt(share7(cMean)) * sinDegrees(60*math.Exp(-bend*bend))
	l, c, h := dL/sL, dC/sC, dH/sH
	return math.Sqrt(l*l + c*c + h*h + rT*c*h)
}

// share7 is c^7 / (c^7 + 25^7).
func share7(c float64) float64 {
	c7 := math.Pow(c, 7)
	return c7 / (c7 + 6103515625)
}

// hues returns the signed turn from one hue to the other and their mean, in
// degrees; grey says that one of them has no hue.
func hues(h1, h2 float64, grey bool) (turn, mean float64) {
	if grey {
		return 0, h1 + h2
	}
	turn = h2 - h1
	switch {
	case turn > 180:
		turn -= 360
	case turn < -180:
		turn += 360
	}
	mean = (h1 + h2) / 2
	if math.Abs(h1-h2) > 180 {
		if h1+h2 < 360 {
			mean += 180
		} else {
			mean -= 180
		}
	}
	return turn, mean
}

// hueDegrees is the hue angle, 0 to 360; 0 of a grey.
func hueDegrees(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

func sinDegrees(v float64) float64 { return math.Sin(v * math.Pi / 180) }
func cosDegrees(v float64) float64 { return math.Cos(v * math.Pi / 180) }
