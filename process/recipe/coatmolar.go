package recipe

import (
	"fmt"
	"strings"
)

// atomicWeights are IUPAC's abridged standard atomic weights, g/mol (Prohaska
// et al., Standard atomic weights of the elements 2021, Pure Appl. Chem. 94
// (2022) 573-600, table 1), of the elements that this trade weighs out.
var atomicWeights = map[string]float64{
	"H": 1.0080, "Li": 6.94, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999,
	"F": 18.998, "Na": 22.990, "Mg": 24.305, "Al": 26.982, "Si": 28.085, "P": 30.974,
	"S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Cr": 51.996, "Mn": 54.938,
	"Fe": 55.845, "Co": 58.933, "Ni": 58.693, "Cu": 63.546, "Zn": 65.38, "Br": 79.904,
	"Sr": 87.62, "Mo": 95.95, "Pd": 106.42, "Ag": 107.87, "Cd": 112.41, "Sn": 118.71,
	"I": 126.90, "Cs": 132.91, "Ba": 137.33, "W": 183.84, "Ir": 192.22, "Pt": 195.08,
	"Au": 196.97, "Hg": 200.59, "Pb": 207.2, "V": 50.942,
}

// Bounds of a formula, so that no text takes long.
const (
	longestFormula = 80
	mostAtoms      = 1000
)

// MolarMass returns grams per mole of a formula such as "Na2S2O3.5H2O" or
// "(NH4)2Cr2O7"; a point stands before water of crystallisation, and brackets
// may nest. It fails on what is no formula and on an element not on file.
func MolarMass(formula string) (float64, error) {
	if len(formula) > longestFormula {
		return 0, fmt.Errorf("is longer than %d letters", longestFormula)
	}
	total := 0.0
	for _, part := range strings.Split(formula, ".") {
		p := formulaReader{text: part}
		factor := p.count()
		if factor < 1 || factor > mostAtoms {
			return 0, fmt.Errorf("%s: a count is not 1 to %d", quote(formula), mostAtoms)
		}
		mass, err := p.group()
		if err == nil && p.at < len(part) {
			err = fmt.Errorf("%s: %q has no partner", quote(formula), part[p.at:])
		}
		if err != nil {
			return 0, err
		}
		total += float64(factor * mass)
	}
	return total, nil
}

// formulaReader goes through one part of a formula from left to right.
type formulaReader struct {
	text string
	at   int
}

// group returns the mass of what stands before the closing bracket or the end.
func (p *formulaReader) group() (float64, error) {
	total, any := 0.0, false
	for p.at < len(p.text) && p.text[p.at] != ')' {
		mass, err := p.item()
		if err != nil {
			return 0, err
		}
		n := p.count()
		if n < 1 || n > mostAtoms {
			return 0, fmt.Errorf("%s: a count is not 1 to %d", quote(p.text), mostAtoms)
		}
		total, any = total+float64(n*mass), true
	}
	if !any {
		return 0, fmt.Errorf("%s: a part of the formula is empty", quote(p.text))
	}
	return total, nil
}

// item returns the mass of one element or of one pair of brackets.
func (p *formulaReader) item() (float64, error) {
	if p.text[p.at] != '(' {
		return p.element()
	}
	p.at++
	mass, err := p.group()
	if err != nil {
		return 0, err
	}
	if p.at == len(p.text) {
		return 0, fmt.Errorf("%s: a bracket is not closed", quote(p.text))
	}
	p.at++ // the closing bracket
	return mass, nil
}

func (p *formulaReader) element() (float64, error) {
	end := p.at + 1
	for end < len(p.text) && p.text[end] >= 'a' && p.text[end] <= 'z' {
		end++
	}
	symbol := p.text[p.at:end]
	mass, ok := atomicWeights[symbol]
	if !ok {
		return 0, fmt.Errorf("%s is not an element on file", quote(symbol))
	}
	p.at = end
	return mass, nil
}

// count returns the number that stands here, 1 where none does, and one above
// mostAtoms for any that is too large.
func (p *formulaReader) count() float64 {
	start, n := p.at, 0
	for p.at < len(p.text) && p.text[p.at] >= '0' && p.text[p.at] <= '9' {
		n = min(10*n+int(p.text[p.at]-'0'), mostAtoms+1)
		p.at++
	}
	if p.at == start {
		return 1
	}
	return float64(n)
}
