package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Unevenness of a print: two surfaces over the sheet, of log exposure (the
// lamp's fall-off) and of log net density (the weight of the coating). The
// lamp's repeats from print to print, so that all prints have one surface of
// exposure in common and each a small one of its own; the brush's does not.
//
// The surfaces' parameters stand behind all others:
//
//	lamp (several placed prints only) | per placed print: own exposure, coating
//
// A vector or a row of derivatives may end before them: an even sheet.

// surfaces says where the parameters of the surfaces stand.
type surfaces struct {
	sheets []*sheet // by print; nil where it has none
	place  []int    // by print, among those that have one; -1 for none
	count  int      // of prints that have one
}

func newSurfaces(prints []Print, keep bool) surfaces {
	s := surfaces{sheets: make([]*sheet, len(prints)), place: make([]int, len(prints))}
	if !keep {
		s.sheets = sheetsOf(prints)
	}
	for k, sh := range s.sheets {
		s.place[k] = -1
		if sh != nil {
			s.place[k] = s.count
			s.count++
		}
	}
	return s
}

// shared says whether prints have a lamp's surface in common.
func (s *surfaces) shared() bool { return s.count > 1 }

// size is the number of parameters of all surfaces.
func (s *surfaces) size() int {
	n := 2 * s.count * len(degrees)
	if s.shared() {
		n += len(degrees)
	}
	return n
}

// atOwn is where print k's own exposure surface starts, counted from the first
// of all surfaces; its coating follows. -1 when the print has none.
func (s *surfaces) atOwn(k int) int {
	if k < 0 || s.place[k] < 0 {
		return -1
	}
	at := 2 * s.place[k] * len(degrees)
	if s.shared() {
		at += len(degrees)
	}
	return at
}

// exposure returns the log exposure that place adds to print k, for the
// surfaces' parameters p; terms are those of the place.
func (s *surfaces) exposure(p []float64, k int, terms []float64) float64 {
	at := s.atOwn(k)
	if len(p) == 0 || at < 0 || terms == nil {
		return 0
	}
	x := floats.Dot(p[at:at+len(terms)], terms)
	if s.shared() {
		x += floats.Dot(p[:len(terms)], terms)
	}
	return x
}

// coating returns the log of the factor that place puts on net density.
func (s *surfaces) coating(p []float64, k int, terms []float64) float64 {
	at := s.atOwn(k)
	if len(p) == 0 || at < 0 || terms == nil {
		return 0
	}
	at += len(terms)
	return floats.Dot(p[at:at+len(terms)], terms)
}

// derive writes the derivatives by the surfaces' parameters into row, given
// those by log exposure and by log net density.
func (s *surfaces) derive(row []float64, k int, terms []float64, byExposure, byLogNet float64) {
	at := s.atOwn(k)
	if len(row) == 0 || at < 0 || terms == nil {
		return
	}
	n := len(terms)
	floats.AddScaled(row[at:at+n], byExposure, terms)
	floats.AddScaled(row[at+n:at+2*n], byLogNet, terms)
	if s.shared() {
		floats.AddScaled(row[:n], byExposure, terms)
	}
}

// sizes is one belief about how large the surfaces are: the sd of a term of
// first degree, of log exposure in common, of a print's own, and of log net
// density.
type sizes struct {
	logWeight          float64
	lamp, own, coating float64
}

// How uneven sheets are (working values of ours; common practice, no source: a
// lamp near the frame falls off by a tenth of a stop to half a stop, brushed
// coatings vary by some per cent). The fit averages over all, as over the
// smoothness of curves: a sheet may be as good as even, and either surface may be
// large alone. Prints whose light differs from each other's (turned on the bed,
// another frame) have a belief of their own.
const (
	evenLamp, unevenLamp       = 0.005, 0.03
	evenCoating, unevenCoating = 0.004, 0.025
	evenShare                  = 0.25 // how likely either is to be as good as even
	ownShare                   = 0.25 // of the lamp's, that does not repeat
	changedLamp                = 0.2  // how likely prints are to differ in light
)

// beliefs lists the beliefs about the sizes of the surfaces.
func (s *surfaces) beliefs() []sizes {
	var out []sizes
	for _, c := range []struct{ weight, sd float64 }{{evenShare, evenCoating}, {1 - evenShare, unevenCoating}} {
		add := func(weight, lamp, own float64) {
			out = append(out, sizes{math.Log(weight * c.weight), lamp, own, c.sd})
		}
		if !s.shared() {
			add(evenShare, 0, evenLamp)
			add(1-evenShare, 0, unevenLamp)
			continue
		}
		add((1-changedLamp)*evenShare, evenLamp, ownShare*evenLamp)
		add((1-changedLamp)*(1-evenShare), unevenLamp, ownShare*unevenLamp)
		add(changedLamp, evenLamp, unevenLamp)
	}
	return out
}

// fading is how the sd of a surface's terms falls with their degree: sheets bend
// slowly (a working value of ours).
var fading = []float64{0, 1, 0.7, 0.4, 0.25}

// precision returns the prior precision of every parameter of the surfaces, and
// its log determinant. All means are 0.
func (s *surfaces) precision(b sizes) (p []float64, logDet float64) {
	add := func(sd float64) {
		for _, d := range degrees {
			each := sd * fading[d[0]+d[1]]
			p = append(p, 1/(each*each))
			logDet -= 2 * math.Log(each)
		}
	}
	if s.shared() {
		add(b.lamp)
	}
	for range s.count {
		add(b.own)
		add(b.coating)
	}
	return p, logDet
}
