package nextchart

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/calibration"
)

// Belief is what a calibration knows, and does not know, of the print tones along
// its ink ramp.
type Belief struct {
	percent []float64 // film ink, where the doubt's columns stand
	doubt   *calibration.Doubt
	aims    []float64 // film inks of picture tones, evenly from black to white
	scatter float64   // from print to print, as a band of 95 %, L*
	prints  int
}

// aimEvery thins the curve's nodes: 129 of 1025 tell the mean as well.
const aimEvery = 8

// BeliefOf returns the belief of a calibration; name is its file's, for messages.
// It fails with a *fault.Error where the calibration does not say where its doubt
// lies.
func BeliefOf(c *calibration.Calibration, name string) (*Belief, error) {
	if err := c.CheckDoubt(name); err != nil {
		return nil, err
	}
	b := &Belief{percent: c.Ink.Percent, doubt: c.Doubt, scatter: scatterOf(&c.Curve), prints: printsOf(&c.Exposure)}
	every := max(1, min(aimEvery, len(c.Curve.Ink)/2))
	for i := 0; i < len(c.Curve.Ink); i += every {
		b.aims = append(b.aims, c.Curve.Ink[i])
	}
	return b, nil
}

// printsOf counts prints; the pages of one chart share a number.
func printsOf(x *calibration.Exposure) int {
	seen := map[int]bool{}
	for _, p := range x.Prints {
		seen[p.Print] = true
	}
	return max(1, len(seen))
}

// scatterOf is what the curve's columns put down to the scatter from print to
// print.
func scatterOf(n *calibration.Nodes) float64 {
	sum := 0.0
	for i, sd := range n.PrintSD {
		sum += math.Max(0, float64(sd*sd)-float64(n.ToneSD[i]*n.ToneSD[i]))
	}
	return coverage95 * math.Sqrt(sum/float64(len(n.PrintSD)))
}

// ReadingsAPrint is how many readings of film ink a print has so far, in the mean.
func (b *Belief) ReadingsAPrint() int { return max(1, b.readings()/b.prints) }

func (b *Belief) readings() int {
	n := 0
	for _, r := range b.doubt.Read {
		n += r.Readings
	}
	return n
}

// Band is how far the print's tones may lie off now.
func (b *Belief) Band() Band { return b.design([]float64{0}, 1, false).band(b.doubt.Common) }

// place is where an ink lies between two of the doubt's percents.
func (b *Belief) place(ink float64) (i int, share float64) {
	i = 1
	for i < len(b.percent)-1 && ink > b.percent[i] {
		i++
	}
	return i, (ink - b.percent[i-1]) / (b.percent[i] - b.percent[i-1])
}

// at is a column's value at an ink.
func (b *Belief) at(column []float64, ink float64) float64 {
	i, share := b.place(ink)
	return column[i-1] + float64(share*(column[i]-column[i-1]))
}

// design starts a design of readings at inks on a further print; an ink may be
// taken as often as most says. With tablet the steps of a tablet on that print
// have been read.
func (b *Belief) design(inks []float64, most int, tablet bool) *design {
	var g gathered
	for _, ink := range inks {
		g.add(b, ink, true)
	}
	steps := 0
	if t := b.doubt.Tablet; tablet && t != nil {
		steps = len(t.Density)
		for i := range steps {
			g.addStep(t, i)
		}
	}
	for _, ink := range b.aims {
		g.add(b, ink, false)
	}
	d := newDesign(g.covariance(), g.noise, even(len(b.aims)), most)
	d.open = len(inks)
	for i := range steps {
		d.read(len(inks) + i)
	}
	return d
}

// gathered are the roots of the covariance of readings and aims: a row each, its
// columns the doubt's factors and what a further print may differ in.
type gathered struct {
	roots [][]float64
	noise []float64 // variance, of readings
}

func (g *gathered) add(b *Belief, ink float64, reading bool) {
	var row []float64
	for _, f := range b.doubt.Factors {
		row = append(row, b.at(f, ink))
	}
	for _, f := range b.doubt.Further {
		v := 0.0
		if reading {
			v = b.at(f, ink)
		}
		row = append(row, v)
	}
	g.roots = append(g.roots, row)
	if reading {
		sd := b.at(b.doubt.Noise, ink)
		g.noise = append(g.noise, float64(sd*sd))
	}
}

func (g *gathered) addStep(t *calibration.TabletDoubt, i int) {
	var row []float64
	for _, f := range t.Factors {
		row = append(row, f[i])
	}
	for _, f := range t.Further {
		row = append(row, f[i])
	}
	g.roots = append(g.roots, row)
	g.noise = append(g.noise, float64(t.Noise[i]*t.Noise[i]))
}

func (g *gathered) covariance() *mat.SymDense {
	roots := mat.NewDense(len(g.roots), len(g.roots[0]), nil)
	for i, row := range g.roots {
		roots.SetRow(i, row)
	}
	cov := mat.NewSymDense(len(g.roots), nil)
	cov.SymOuterK(1, roots)
	return cov
}

// even is n equal weights.
func even(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 1 / float64(n)
	}
	return w
}
