package control

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Constants of charts of single values and their moving ranges of two. The
// range of two values of a normal distribution of standard deviation 1 has the
// mean 2/sqrt(pi) = 1.128 and the standard deviation sqrt(2-4/pi) = 0.853:
// the d2 and d3 of published tables (ASTM MNL 7; NIST/SEMATECH e-Handbook
// 6.3.2.2).
var (
	rangeMean = 2 / math.Sqrt(math.Pi)
	rangeSD   = math.Sqrt(2 - 4/math.Pi)

	// textbookFactor on the mean moving range gives three standard deviations: 2.660.
	textbookFactor = 3 / rangeMean
	// textbookRange on the mean moving range is its own upper limit: 3.267.
	textbookRange = 1 + 3*rangeSD/rangeMean
)

const (
	// wantedBaseline is how many checks the limits are taken from; the trade's
	// figure (ten repeats of one patch).
	wantedBaseline = 10
	// leastBaseline is the fewest from which limits are given at all: a working
	// value of ours. Five give limits more than twice as far apart as they should be.
	leastBaseline = 5
)

// Baseline is what the first checks of a quantity say of it: the middle of the
// chart and the scatter, in the quantity's unit.
type Baseline struct {
	Count       int     `json:"count"`
	Centre      float64 `json:"centre"`
	MovingRange float64 `json:"mean_moving_range"`
	// SD is the scatter from print to print: that of neighbours, or of all about
	// their mean where that is more. Freedom is how much it is to be trusted, in
	// degrees of freedom.
	SD      float64 `json:"sd"`
	Freedom float64 `json:"degrees_of_freedom"`
	// Low and High are the limits of textbooks, 2.660 mean moving ranges about the
	// centre; RangeHigh is 3.267 of them. They are too narrow for so few checks, and
	// only shown for comparison.
	Low       float64 `json:"textbook_low"`
	High      float64 `json:"textbook_high"`
	RangeHigh float64 `json:"textbook_range_high"`
}

// newBaseline takes the limits from values in the order of time; it needs two.
func newBaseline(values []float64) Baseline {
	b := Baseline{Count: len(values), Freedom: rangeFreedom(len(values))}
	for i, v := range values {
		b.Centre += v / float64(len(values))
		if i > 0 {
			b.MovingRange += math.Abs(v-values[i-1]) / float64(len(values)-1)
		}
	}
	b.SD = max(b.MovingRange/rangeMean, aboutMean(values, b.Centre))
	reach := textbookFactor * b.MovingRange
	b.Low, b.High, b.RangeHigh = b.Centre-reach, b.Centre+reach, textbookRange*b.MovingRange
	return b
}

// aboutMean is the standard deviation without bias. Neighbours are often prints
// of one sitting: their ranges alone miss what differs from one to the next, and
// give three times as many false alarms. Taking the larger of the two costs a
// tenth of width where there are no sittings.
func aboutMean(values []float64, mean float64) float64 {
	squares, freedom := 0.0, float64(len(values)-1)
	for _, v := range values {
		squares += (v - mean) * (v - mean)
	}
	return math.Sqrt(squares/freedom) / chiMean(freedom)
}

// reach is how far from the centre a mean of later checks may lie, in units of
// Student's t: variance is that mean's in units of the scatter squared, and share
// is how much of it is made of later checks at all (1 for a single check), because
// the centre is itself a mean of few.
//
// The scatter from n moving ranges is distributed nearly as chi/sqrt(freedom),
// and independent of the mean: so the limit is Student's (prediction interval of
// a normal sample: Hahn and Meeker, Statistical Intervals, 1991, with the
// approximation of Patnaik, Biometrika 37, 1950, for ranges).
func (b Baseline) reach(variance, share float64) float64 {
	return b.scale() * math.Sqrt(variance+share*share/float64(b.Count))
}

// scale is the scatter as Student's distribution wants it: whose square, not
// itself, is without bias.
func (b Baseline) scale() float64 { return b.SD * chiMean(b.Freedom) }

// studentReach is the two-sided point of Student's distribution.
func studentReach(probability, freedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(1 - probability/2)
}

// chiMean is the mean of chi/sqrt(freedom): c4 of tables, for freedom+1 values.
func chiMean(freedom float64) float64 {
	above, _ := math.Lgamma((freedom + 1) / 2)
	below, _ := math.Lgamma(freedom / 2)
	return math.Sqrt(2/freedom) * math.Exp(above-below)
}

// rangeFreedom returns the degrees of freedom of the mean of the moving ranges of
// n values: those of the chi distribution of the same coefficient of variation.
// Ten values give 5.9, where their standard deviation would have 9. The ranges
// are taken all the same, because a lamp that ages among the ten hardly widens
// them.
//
// Ranges of neighbours share a value: the mean of the product of two is
// (4/pi)(sqrt(3)/2 + pi/12), of two normal deviates with correlation -1/2.
func rangeFreedom(n int) float64 {
	m := float64(n - 1)
	own := math.Pi/2 - 1
	shared := math.Sqrt(3)/2 + math.Pi/12 - 1
	variation := (own*m + 2*(m-1)*shared) / (m * m)
	low, high := 0.1, 10*m+10
	for range 100 {
		middle := (low + high) / 2
		c := chiMean(middle)
		if 1/(c*c)-1 > variation {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// standsOut returns the index of the value that lies farther from the others than
// chance puts one in a hundred such sets, or -1 (Grubbs, Technometrics 11, 1969,
// in the form of a deleted residual). It needs four values.
func standsOut(values []float64) int {
	n := float64(len(values))
	worst, most := -1, studentReach(0.01/n, n-2)
	for i, v := range values {
		others := slices.Delete(slices.Clone(values), i, i+1)
		mean, squares := 0.0, 0.0
		for _, o := range others {
			mean += o / (n - 1)
		}
		for _, o := range others {
			squares += (o - mean) * (o - mean)
		}
		away := math.Abs(v-mean) / math.Sqrt(squares/(n-2)*n/(n-1))
		if away > most {
			worst, most = i, away
		}
	}
	return worst
}
