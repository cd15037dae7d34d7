package calibration

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure/delimited"
	"actinic/process/monotone"
)

// Aim is the print tone wanted for each picture tone, between the print's own
// black and white.
type Aim struct {
	Name  string // "lightness", "density" or "match"
	File  string // of a match; base name
	match *monotone.Curve
}

// The built-in aims.
var (
	AimLightness = Aim{Name: "lightness"} // straight in L*: equal steps to the eye
	AimDensity   = Aim{Name: "density"}   // straight in print density
)

// tone returns the L* wanted at a picture tone of 0 to 100, between the L* of
// black and of white.
func (a Aim) tone(tone float64, black, white density.Lightness) density.Lightness {
	switch a.Name {
	case "density":
		b, w := float64(black.Density()), float64(white.Density())
		return density.Density(b + (w-b)*tone/100).Lightness()
	case "match":
		low, high := a.match.Held(0), a.match.Held(100)
		share := (a.match.Held(tone) - low) / (high - low)
		return black + density.Lightness(float64(share*float64(white-black)))
	}
	return black + density.Lightness(float64((white-black)*density.Lightness(tone)/100))
}

// FindAim returns a built-in aim, or reads the table FILE of a match: columns
// tone (0 to 100, both ends included) and print_lstar, as read from a reference
// print. The table is smoothed as readings are and scaled to the print's own
// black and white.
func FindAim(name, file string) (Aim, error) {
	switch name {
	case "lightness", "":
		return AimLightness, nil
	case "density":
		return AimDensity, nil
	case "match":
		if file != "" {
			return readMatch(file)
		}
	}
	return Aim{}, fault.New("", "", "aim "+name+" is not known", "use lightness, density, or match FILE")
}

func readMatch(file string) (Aim, error) {
	text, err := delimited.LoadFile(file)
	if err != nil {
		return Aim{}, err
	}
	table, err := text.Table()
	if err != nil {
		return Aim{}, err
	}
	if err := table.CheckColumns([]string{"tone", "print_lstar"}); err != nil {
		return Aim{}, err
	}
	tones, lstars, err := matchColumns(table)
	if err != nil {
		return Aim{}, err
	}
	curve, err := smoothMatch(tones, lstars)
	if err != nil {
		return Aim{}, fault.New(file, "", err.Error(), "give tones from 0 to 100 with the L* that the reference print shows, lighter as tone grows")
	}
	return Aim{Name: "match", File: baseName(file), match: curve}, nil
}

func matchColumns(t *delimited.Table) (tones, lstars []float64, err error) {
	at, to := t.Column("tone"), t.Column("print_lstar")
	if at < 0 || to < 0 {
		return nil, nil, fault.New(t.File, "", "expected the columns tone and print_lstar", "name them in the first row")
	}
	for _, r := range t.Rows {
		tone, err := t.Number(r, at, "a picture tone of 0 to 100")
		if err != nil {
			return nil, nil, err
		}
		lstar, err := t.Number(r, to, "L* of 0 to 100")
		if err != nil {
			return nil, nil, err
		}
		if !(tone >= 0 && tone <= 100) || !(lstar >= 0 && lstar <= 100) {
			return nil, nil, t.Fault(r.Line, "", "tone and print_lstar run from 0 to 100", "tone is L* of the picture, print_lstar that of the reference print")
		}
		tones, lstars = append(tones, tone), append(lstars, lstar)
	}
	return tones, lstars, nil
}

// smoothMatch takes the readings as a reference print's: noisy, rising.
func smoothMatch(tones, lstars []float64) (*monotone.Curve, error) {
	if stat.Correlation(tones, lstars, nil) < 0 {
		return nil, errors.New("the print gets darker as tone grows")
	}
	reg, err := monotone.Regress(tones, lstars, nil, nil)
	if err != nil {
		return nil, err
	}
	low, high := reg.Domain()
	if low > 0 || high < 100 {
		return nil, &monotone.RangeError{Value: 100, Low: low, High: high}
	}
	const nodes = 101
	x, y := make([]float64, nodes), make([]float64, nodes)
	for i := range nodes {
		x[i] = math.Min(100, low+(high-low)*float64(i)/(nodes-1))
		if y[i], err = reg.Value(x[i]); err != nil {
			return nil, err
		}
	}
	return monotone.New(x, y)
}
