package nextchart

import (
	"fmt"
	"math"
	"slices"

	"actinic/process/fault"
)

// LevelOptions say what a further chart of the ink ramp can show.
type LevelOptions struct {
	// Codes is how many steps of printer value the ramp has from clear film to full
	// ink: levels stand on these, so that a driver of 8 bits prints them as they
	// are. 0 is 255.
	Codes int
	// Always are film inks, in per cent and with repeats, that the chart shows
	// beside those chosen: its corner patches, say.
	Always []float64
	// NoTablet says that the print will have no step tablet, though the last had
	// one.
	NoTablet bool
}

// Plan is what to print on a further chart of the ink ramp.
type Plan struct {
	// Ink are the levels chosen, in per cent, rising, repeats included; clear film
	// and full ink are among them or among those shown always.
	Ink []float64 `json:"ink"`
	// Scatter is how far the tones of single prints lie off besides, 95 % of them,
	// in L*; no chart changes it.
	Scatter float64 `json:"print_scatter_lstar"`
	Verdict
}

const (
	usualCodes = 255
	mostLevels = 5000
)

// Levels chooses n levels of film ink for a further print of the ramp: those
// that make the mean variance of the print's tones over a picture fall most,
// given what is known, the noise of a reading, the inks shown always and what may
// be different about the further print. n is 1 to 5000.
//
// A level comes again only when n is more than half of those that there are: the
// readings of neighbours tell as much of a smooth ramp, and more of one that
// bends where none was looked for.
func Levels(b *Belief, n int, o LevelOptions) (*Plan, error) {
	if o.Codes == 0 {
		o.Codes = usualCodes
	}
	if n < 1 || n > mostLevels {
		return nil, fault.New("", "", fmt.Sprintf("%d patches, expected 1 to %d", n, mostLevels), "as many as the first chart had serve as a rule")
	}
	inks := candidateInks(n, o.Codes)
	before := b.Band()
	d := b.design(inks, 1+(2*n-1)/len(inks), !o.NoTablet)
	for _, ink := range o.Always {
		d.read(nearest(inks, ink))
	}
	for _, end := range []int{0, len(inks) - 1} {
		shown := slices.ContainsFunc(o.Always, func(ink float64) bool { return nearest(inks, ink) == end })
		if !shown && len(d.chosen) < n {
			d.take(end)
			d.chosen = append(d.chosen, end)
		}
	}
	d.choose(n)
	p := &Plan{Scatter: b.scatter, Verdict: verdict(before, d.band(b.doubt.Common))}
	slices.Sort(d.chosen)
	for _, i := range d.chosen {
		p.Ink = append(p.Ink, inks[i])
	}
	return p, nil
}

// candidateInks are the levels that may be chosen, in per cent: whole printer
// values from clear film to full ink, so far apart that about half of them are
// taken. Otherwise levels would crowd at a few places, because the fit's model
// bends at a few places only; the ink need not.
func candidateInks(n, codes int) []float64 {
	apart := max(1, (codes+1)/(2*n))
	var inks []float64
	for i := 0; i < codes; i += apart {
		inks = append(inks, math.Round(100_000*float64(i)/float64(codes))/1000)
	}
	return append(inks, 100)
}

// nearest is the candidate nearest to an ink in per cent.
func nearest(inks []float64, ink float64) int {
	at := 0
	for i := range inks {
		if math.Abs(inks[i]-ink) < math.Abs(inks[at]-ink) {
			at = i
		}
	}
	return at
}
