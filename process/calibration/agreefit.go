package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/monotone"
)

// apart is the model of prints that may each differ in any way: its shapes stand
// behind the surfaces. It is linear about the fit to which every print goes its
// own way, so that whatever prints have in common can be weighed without another
// fit.
type apart struct {
	*fitted
	expected []float64 // log exposure of each print against the first, as far as it is known
	open     []bool    // by print: nothing is known of its exposure
	curves   bool      // the tablets of several prints show the shape of the curve
	shapes   []float64 // by print: ink, curve
	info     *mat.SymDense
	rhs      []float64
	prior    *mat.SymDense // of what all prints share
}

// Where the shapes' coefficients stand: the ink's over film ink, 0 at clear film,
// the curve's over log exposure.
var (
	inkShapeGrid   = monotone.Grid{Lo: 0, Hi: 1, Nodes: 10, Knots: 10}
	curveShapeGrid = monotone.Grid{Lo: -3.2, Hi: 0.8, Nodes: 9, Knots: 9}
)

const (
	inkShape   = 9 // without the knot at clear film
	curveShape = 9
	ofShapes   = inkShape + curveShape // a print
)

var (
	inkShapeCovariance = pinned(covarianceAt(inkShapeGrid, smooth, 0.4))
	curvePrecision     = precisionOf(covarianceAt(curveShapeGrid, smooth, 1.2))
)

// pinned is a covariance given that the first value is 0, without that value.
func pinned(c *mat.SymDense) *mat.SymDense {
	n := c.SymmetricDim() - 1
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, c.At(i+1, j+1)-c.At(i+1, 0)*c.At(0, j+1)/c.At(0, 0))
		}
		out.SetSym(i, i, out.At(i, i)+1e-3) // keeps a strong ink's prior within arithmetic
	}
	return out
}

// hats writes the weights of a grid's knots at x, held at the grid's ends.
func hats(g monotone.Grid, x float64, dst []float64) {
	clear(dst)
	t := math.Max(0, math.Min(1, (x-g.Lo)/(g.Hi-g.Lo))) * float64(g.Knots-1)
	i := min(int(t), g.Knots-2)
	dst[i], dst[i+1] = float64(i+1)-t, t-float64(i)
}

// newApart lets every print of a fit go its own way. exposures are those given, 0
// where one is not known. It fails when arithmetic can't tell.
func newApart(f *fitted, exposures []float64) (*apart, bool) {
	own, m := *f, *f.model
	own.model, own.mid = &m, nil
	m.obs = slices.Clone(f.obs)
	own.noise, own.mean = slices.Clone(f.noise), slices.Clone(f.mean)
	own.weights = make(weights, len(m.obs))
	a := &apart{fitted: &own, shapes: make([]float64, ofShapes*f.prints), curves: f.tablets() > 1}
	for i := range own.weights {
		own.weights[i] = 1 // a foreign print is no outlier here
	}
	a.expect(exposures)
	hyps := m.hypotheses()
	a.prior, _ = m.assemble(hyps[len(hyps)-1])
	return a, a.goTheirWay()
}

// tablets is the number of prints with a step tablet.
func (m *model) tablets() int {
	with := map[int]bool{}
	for _, o := range m.obs {
		if !math.IsNaN(o.tablet) {
			with[o.print] = true
		}
	}
	return len(with)
}

// expect sets what is known of the prints' exposures: prints whose exposures are
// not given are taken to have had the same. Without a tablet log exposure has no
// measure, so that of exposures that differ nothing is known.
func (a *apart) expect(exposures []float64) {
	a.expected, a.open = make([]float64, a.prints), make([]bool, a.prints)
	for k, t := range exposures {
		if t > 0 && exposures[0] > 0 && t != exposures[0] {
			a.expected[k] = math.Log10(t / exposures[0])
			a.open[k] = a.untied
		}
	}
}

// full is the number of parameters, shapes included.
func (a *apart) full() int { return a.size() + len(a.shapes) }

func (a *apart) atShapes(k int) int { return a.size() + ofShapes*k }

// bend sets what the shapes add to the observations' log exposure, and returns
// the derivatives of that by each print's shapes.
func (a *apart) bend() [][]float64 {
	for i := range a.obs {
		a.obs[i].beyond = 0
	}
	ev := a.at(a.mean)
	by := make([][]float64, len(a.obs))
	for i := range a.obs {
		o := &a.obs[i]
		row := make([]float64, ofShapes)
		if math.IsNaN(o.tablet) {
			var h [inkShape + 1]float64
			hats(inkShapeGrid, o.ink/100, h[:])
			for j, v := range h[1:] {
				row[j] = -v
			}
		}
		if a.curves {
			hats(curveShapeGrid, ev.exposure(o), row[inkShape:])
		}
		by[i] = row
	}
	for i := range a.obs {
		k := ofShapes * a.obs[i].print
		a.obs[i].beyond = floats.Dot(by[i], a.shapes[k:k+ofShapes])
	}
	return by
}

// linearise makes the normal equations about the present point.
func (a *apart) linearise() {
	by := a.bend()
	residual, jac := a.fitted.linearised(a.mean)
	a.residual = residual
	scale := a.whiten(a.noise, a.weights)
	n, core := a.full(), a.size()
	white := mat.NewDense(len(a.obs), n, nil)
	target := make([]float64, len(a.obs))
	for i := range a.obs {
		o := &a.obs[i]
		row := white.RawRowView(i)
		copy(row, jac.RawRowView(i))
		byX := jac.At(i, a.deviation(o.print)+2)
		floats.AddScaled(row[a.atShapes(o.print):a.atShapes(o.print)+ofShapes], byX, by[i])
		target[i] = (residual[i] + floats.Dot(row[:core], a.mean) + floats.Dot(row[core:], a.shapes)) * scale[i]
		floats.Scale(scale[i], row)
	}
	a.info = mat.NewSymDense(n, nil)
	a.info.SymOuterK(1, white.T())
	rhs := mat.NewVecDense(n, nil)
	rhs.MulVec(white.T(), mat.NewVecDense(len(target), target))
	a.rhs = rhs.RawVector().Data
}
