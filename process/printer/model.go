package printer

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"actinic/process/fault"
)

// Model tells the UV density of every colour of one printer: a mixture of its
// inks' areas, a smooth correction, and a doubt that holds what is irregular.
// The mixture rises in each channel wherever the corners of the cube that it
// found do; the correction may bend it down where readings say so, and elsewhere
// by no more than its doubt. It is safe for concurrent use once made.
type Model struct {
	design   *design
	mix      *mix
	solution *solution
	shared   *sharedDoubt
	weights  []float64 // of the pivots' covariances in the mean
}

// Fit makes the model of readings. Many readings of one colour cost hardly more
// than one. Outliers are held back, and bounds bind only where the rest would
// break them.
//
// It fails with *fault.Error where a reading can't be used, or where fewer than
// six different colours other than clear film are known as numbers.
func Fit(points []Point, o *Options) (*Model, error) {
	if o == nil {
		o = &Options{}
	}
	if err := checkPoints(points, o); err != nil {
		return nil, err
	}
	s := gather(points, o.TermSD)
	if n := len(s.colours); n > mostColours {
		return nil, fault.New("", "", fmt.Sprintf("found %d different colours, expected at most %d", n, mostColours), "leave out some of the prints")
	}
	if n := s.printed(); n < fewestColours {
		return nil, fault.New("", "", fmt.Sprintf("found the UV density of %d different colours, expected at least %d beside clear film", n, fewestColours),
			"print more colours: chart colours --patches 200")
	}
	m, err := fit(s)
	if err != nil {
		return nil, err
	}
	m.shared = newSharedDoubt(points)
	return m, nil
}

// printed is the number of different colours known as numbers, clear film left out.
func (s *sums) printed() int {
	n := 0
	for _, c := range s.colours {
		if c.rgb != Clear && c.measured() {
			n++
		}
	}
	return n
}

// newModel keeps what predictions need.
func newModel(d *design, s *solution) *Model {
	m := &Model{design: d, mix: newMix(d.p), solution: s}
	m.weights = append([]float64(nil), s.mean[d.sums.count+mixCount:]...)
	if d.basis.lower != nil {
		x := blas64.Vector{N: len(m.weights), Inc: 1, Data: m.weights}
		blas64.Trsv(blas.Trans, d.basis.lower.RawTriangular(), x)
	}
	return m
}

// leastOfMix is the share of the mix's UV density below which no prediction
// falls: a colour that prints ink stops something.
const leastOfMix = 0.05

// atLeastSome returns a UV density, but no less than that share of the mix's.
func atLeastSome(uv, ofMix float64) float64 { return math.Max(uv, leastOfMix*ofMix) }

// UVDensity returns the UV density of a colour, net above clear film, and its
// standard uncertainty, which includes what is irregular and what readings share: 0 and 0 for clear film,
// above 0 for any other. Code values beyond 0 to 255 count as the nearer of these.
func (m *Model) UVDensity(c RGB) (uv, sd float64) {
	c = inCube(c)
	if c == Clear {
		return 0, 0
	}
	x := make([]float64, m.design.unknown)
	base, own := m.row(c, x[m.design.sums.count:])
	uv = base + blas64.Dot(vector(x), vector(m.solution.mean))
	uv = atLeastSome(uv, base)
	return uv, math.Hypot(math.Sqrt(m.solution.variance(x)+own), m.shared.at(uv))
}

// place returns where a colour lies.
func (m *Model) place(c RGB) place { return m.design.basis.kernel.placeOf(m.mix, c) }

// row writes the derivatives and functions of a colour and returns the mix's UV
// density and the variance that the unknowns do not tell.
func (m *Model) row(c RGB, row []float64) (base, own float64) {
	p := m.place(c)
	base = m.mix.sensitivity(c, row[:mixCount])
	own = m.design.basis.functions(&p, row[mixCount:])
	return base, own + m.design.basis.kernel.irregular(&p)
}

// UVDensities returns the UV densities of colours without their doubt, which
// takes a small part of the time.
func (m *Model) UVDensities(cs []RGB) []float64 {
	out := make([]float64, len(cs))
	row, near := make([]float64, mixCount), make([]float64, len(m.weights))
	step := m.solution.mean[m.design.sums.count:][:mixCount]
	for i, c := range cs {
		c = inCube(c)
		if c == Clear {
			continue
		}
		p := m.place(c)
		base := m.mix.sensitivity(c, row)
		uv := base
		for k, v := range row {
			uv += float64(v * step[k])
		}
		m.design.basis.table.fill(&p, near)
		for k, v := range near {
			uv += float64(v * m.weights[k])
		}
		out[i] = atLeastSome(uv, base)
	}
	return out
}

// Covariance returns the covariance of the UV densities of colours; the roots of
// its diagonal are the doubts that UVDensity gives.
func (m *Model) Covariance(cs []RGB) *mat.SymDense {
	n := len(cs)
	if n == 0 {
		return &mat.SymDense{}
	}
	d := m.design
	cov := mat.NewSymDense(n, nil)
	x, f := mat.NewDense(n, d.unknown, nil), mat.NewDense(n, d.basis.size(), nil)
	places := make([]place, n)
	for i, c := range cs {
		c = inCube(c)
		if c == Clear {
			continue
		}
		places[i] = m.place(c)
		row := x.RawRowView(i)[d.sums.count:]
		m.row(c, row)
		copy(f.RawRowView(i), row[mixCount:])
	}
	table := newKernelTable(d.basis.kernel, places)
	raw := cov.RawSymmetric()
	for i := range places {
		table.fill(&places[i], raw.Data[i*raw.Stride:i*raw.Stride+n])
		cov.SetSym(i, i, cov.At(i, i)+d.basis.kernel.irregular(&places[i]))
	}
	blas64.Trsm(blas.Right, blas.NoTrans, 1, m.solution.factor(), x.RawMatrix())
	blas64.Syrk(blas.NoTrans, 1, x.RawMatrix(), 1, cov.RawSymmetric())
	blas64.Syrk(blas.NoTrans, -1, f.RawMatrix(), 1, cov.RawSymmetric())
	if m.shared != nil {
		s := mat.NewVecDense(n, nil)
		for i, uv := range m.UVDensities(cs) {
			s.SetVec(i, m.shared.at(uv))
		}
		cov.SymRankOne(cov, 1, s)
	}
	return cov
}

// Terms returns the nuisance coefficients and their covariance; empty without any.
func (m *Model) Terms() (mean []float64, cov *mat.SymDense) {
	n := m.design.sums.count
	mean = append([]float64(nil), m.solution.mean[:n]...)
	cov = &mat.SymDense{}
	if n == 0 {
		return mean, cov
	}
	cov = mat.NewSymDense(n, nil)
	x := mat.NewDense(n, m.design.unknown, nil)
	for i := range n {
		x.Set(i, i, 1)
	}
	blas64.Trsm(blas.Right, blas.NoTrans, 1, m.solution.factor(), x.RawMatrix())
	blas64.Syrk(blas.NoTrans, 1, x.RawMatrix(), 0, cov.RawSymmetric())
	return mean, cov
}

// Irregularity returns the standard deviation, log10, of what a dense colour
// shows that neither the mix nor its neighbours tell.
func (m *Model) Irregularity() float64 { return m.design.basis.kernel.nugget }

// inCube returns the nearest colour with code values of 0 to 255.
func inCube(c RGB) RGB {
	for i, v := range c {
		if math.IsNaN(v) {
			panic(fmt.Sprintf("printer: colour %v", c))
		}
		c[i] = min(max(v, 0), 255)
	}
	return c
}
