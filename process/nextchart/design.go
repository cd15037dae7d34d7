package nextchart

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// design chooses candidates to be read so that the mean variance of the aims
// falls most. Belief is a normal distribution over what candidates and aims show.
//
// It is the integrated variance criterion of optimal design, known as I- or
// V-optimality; one reading at a time it is that of Cohn, Ghahramani & Jordan,
// "Active learning with statistical models", J. Artif. Intell. Res. 4 (1996)
// 129-145. Choosing one after the other is followed by exchanges (Fedorov, Theory
// of Optimal Experiments, 1972, from memory).
type design struct {
	rows   [][]float64 // covariance: the candidates first, then the aims
	noise  []float64   // variance of a reading of each candidate
	open   int         // candidates that may be chosen, the first; the rest are read anyway
	weight []float64   // of each aim; their sum is 1
	times  []int       // that each candidate is taken
	most   int         // times that a candidate may be taken
	chosen []int
}

// newDesign starts from the covariance of candidates and aims, in this order;
// there are as many candidates as values of noise.
func newDesign(cov *mat.SymDense, noise, weight []float64, most int) *design {
	n := cov.SymmetricDim()
	if len(noise)+len(weight) != n || len(noise) == 0 || len(weight) == 0 {
		panic("nextchart: the covariance is not one of candidates and aims")
	}
	d := &design{noise: noise, open: len(noise), weight: weight, times: make([]int, len(noise)), most: most, rows: make([][]float64, n)}
	for i := range n {
		d.rows[i] = make([]float64, n)
		for j := range n {
			d.rows[i][j] = cov.At(i, j)
		}
	}
	return d
}

// variance is the mean variance of the aims.
func (d *design) variance() float64 {
	sum := 0.0
	for t, w := range d.weight {
		sum += float64(w * d.of(t))
	}
	return sum
}

// largest is the largest variance of an aim.
func (d *design) largest() float64 {
	most := 0.0
	for t := range d.weight {
		most = math.Max(most, d.of(t))
	}
	return most
}

// of is the variance of aim t.
func (d *design) of(t int) float64 {
	k := len(d.noise) + t
	return d.rows[k][k]
}

// gain is by how much a reading of candidate i makes the mean variance fall.
func (d *design) gain(i int) float64 {
	row, sum := d.rows[i], 0.0
	for t, w := range d.weight {
		c := row[len(d.noise)+t]
		sum += float64(w * c * c)
	}
	return sum / (d.noise[i] + row[i])
}

// read is the belief after a reading of candidate i.
func (d *design) read(i int) { d.change(i, -1/(d.noise[i]+d.rows[i][i])) }

// unread is the belief as if one reading of candidate i had not been made.
func (d *design) unread(i int) { d.change(i, 1/(d.noise[i]-d.rows[i][i])) }

func (d *design) change(i int, by float64) {
	was := append([]float64(nil), d.rows[i]...)
	for k, row := range d.rows {
		if was[k] != 0 {
			floats.AddScaled(row, float64(by*was[k]), was)
		}
	}
}

// alike is the share within which two gains count as the same: the first
// candidate is taken then, on every processor.
const alike = 1e-9

// best is the candidate whose reading gains most; false when none may be taken.
func (d *design) best() (int, bool) {
	at, top := -1, 0.0
	for i := range d.open {
		if d.times[i] >= d.most {
			continue
		}
		if g := d.gain(i); at < 0 || g > top*(1+alike) {
			at, top = i, g
		}
	}
	return at, at >= 0
}

func (d *design) take(i int) {
	d.read(i)
	d.times[i]++
}

func (d *design) giveBack(i int) {
	d.unread(i)
	d.times[i]--
}

// rounds of exchanges: later ones change next to nothing. Of more than
// mostExchanged candidates a single one matters too little for the time it takes.
const (
	rounds        = 3
	mostExchanged = 500
)

// choose takes candidates until n are chosen, fewer when there are not so many:
// each as it gains most, then each exchanged where another gains more. What was
// chosen before stays.
func (d *design) choose(n int) {
	kept := len(d.chosen)
	for len(d.chosen) < n {
		i, ok := d.best()
		if !ok {
			return
		}
		d.take(i)
		d.chosen = append(d.chosen, i)
	}
	for range rounds {
		if n > mostExchanged || !d.exchange(d.chosen[kept:]) {
			return
		}
	}
}

// certain is the share of a reading's noise above which the belief knows better
// than rounding lets it be taken back.
const certain = 1 - 1e-6

// exchange puts a better candidate in the place of each of those chosen, and
// reports whether it found any.
func (d *design) exchange(chosen []int) bool {
	changed := false
	for k, i := range chosen {
		if d.rows[i][i] > certain*d.noise[i] {
			continue
		}
		d.giveBack(i)
		next, _ := d.best() // there is one: the one given back
		if d.gain(next) <= d.gain(i)*(1+alike) {
			next = i
		}
		d.take(next)
		chosen[k] = next
		changed = changed || next != i
	}
	return changed
}
