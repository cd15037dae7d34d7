package darkroom_test

import (
	"flag"
	"math"
	"testing"

	"actinic/negative/darkroom"
	"actinic/process/printer"
)

var blendSetups = flag.Int("blend-setups", 3, "printers of TestBlend; the figures count from 200 on")

const (
	mostBlendStep = 0.5  // largest step of a blend, of the straight line's
	clearlyLarger = 1.05 // the same, from which on the blend is worse
	mostLarger    = 0.05 // share of blends that may be
	// aGap is the largest step of a straight line, over its mean step, from which
	// on light inks leave a gap in it: bends of the driver alone make less than
	// that.
	aGap = 2
)

// blended is a blend beside the straight line to the same colour, on the true
// printer.
type blended struct {
	ratio    float64 // of their largest steps
	gap      float64 // largest step of the straight line over its mean step
	straight bool    // the blend is the straight line
	fall     float64 // by which UV density falls along the blend
}

// TestBlend chooses the ink blend of printers with light inks from one print of
// 200 colours, to the best ink colour and to black, the ink colour of a chart for
// which none is asked. Then it goes along the blend on the true printer, code by
// code of 8 bits up to the needed range, and holds the largest step of UV density
// to that of the straight line.
//
// The blend to black is held to half of the straight line's step. Not so that to
// the best ink colour: the ranking prefers colours whose straight line is nearly
// even, most of all yellow, which has no light ink, and leaves a blend little to
// gain. It must not be clearly worse there.
//
// The figures: go test ./negative/darkroom -run '^TestBlend$' -v -blend-setups 200 -seed 4242
func TestBlend(t *testing.T) {
	best, black := make([]blended, *blendSetups), make([]blended, *blendSetups)
	sideBySide(*blendSetups, func(i int) {
		best[i], black[i] = runBlend(t, opacitySetup(2*i+1)) // odd ones have light inks
	})
	all := append(append([]blended{}, best...), black...)
	reportBlends(t, "to the best ink colour", best)
	reportBlends(t, "to black", black)
	reportBlends(t, "to the best, with a gap", withGap(best, true))
	reportBlends(t, "to black, with a gap", withGap(black, true))
	reportBlends(t, "either, without a gap", withGap(all, false))
	if *blendSetups >= fullOpacity {
		if m := quantile(ratios(black), 0.5); m > mostBlendStep {
			t.Errorf("to black the blend's largest step is %.2f of the straight line's, want %.2f", m, mostBlendStep)
		}
		if share := largerShare(all); share > mostLarger {
			t.Errorf("the blend's largest step is larger than the straight line's in %.2f of the printers, want at most %.2f", share, mostLarger)
		}
	} else if m := quantile(ratios(all), 0.5); m > 1 {
		t.Errorf("the blend's largest step is %.2f of the straight line's", m)
	}
}

// largerShare is the share of blends whose largest step is clearly larger than
// the straight line's.
func largerShare(bs []blended) float64 {
	n := 0
	for _, b := range bs {
		n += count(b.ratio > clearlyLarger)
	}
	return float64(n) / float64(len(bs))
}

func withGap(all []blended, gap bool) []blended {
	var out []blended
	for _, b := range all {
		if (b.gap >= aGap) == gap {
			out = append(out, b)
		}
	}
	return out
}

func ratios(bs []blended) []float64 {
	out := make([]float64, len(bs))
	for i, b := range bs {
		out[i] = b.ratio
	}
	return out
}

func reportBlends(t *testing.T, what string, bs []blended) {
	t.Helper()
	if len(bs) == 0 {
		return
	}
	half, worse, straight, falls := 0, 0, 0, 0
	for _, b := range bs {
		half += count(b.ratio <= mostBlendStep)
		worse += count(b.ratio > clearlyLarger)
		straight += count(b.straight)
		falls += count(b.fall > 0.01)
	}
	t.Logf("%-24s largest step of the blend over the straight line's: median %.2f, 90th percentile %.2f; at most half in %d of %d, larger in %d; straight kept in %d; UV density falls by over 0.01 in %d",
		what, quantile(ratios(bs), 0.5), quantile(ratios(bs), 0.9), half, len(bs), worse, straight, falls)
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

func runBlend(t *testing.T, s *darkroom.Setup) (best, black blended) {
	none := blended{ratio: math.NaN()}
	c := fitColours(t, s, nil, colourPrint(t, s, darkroom.Print{}, darkroom.Random(s.Seed(), 31)))
	if c == nil {
		return none, none
	}
	k := inksOf(t, s, c, true)
	if k == nil {
		return none, none
	}
	m, err := k.Model()
	if err != nil || k.InkColour == nil {
		t.Errorf("seed %d: no model, or no ink colour: %v", s.Seed(), err)
		return none, none
	}
	return blendTo(t, s, m, k.InkColour.RGB()), blendTo(t, s, m, printer.RGB{})
}

// blendTo is the blend to an ink colour, beside the straight line.
func blendTo(t *testing.T, s *darkroom.Setup, m printer.Predictor, to printer.RGB) blended {
	path, err := printer.NewBlend(m, to, printer.BlendOptions{NeededRange: float64(s.NeededRange())})
	if err != nil {
		t.Errorf("seed %d: %v", s.Seed(), err)
		return blended{ratio: math.NaN()}
	}
	within := math.Min(float64(s.NeededRange()), float64(s.Printer().UVDensity(to)))
	line, blend := walk(s.Printer(), printer.Straight(to), within), walk(s.Printer(), path, within)
	return blended{ratio: blend.largest / line.largest, gap: line.largest / (within / float64(line.steps)),
		straight: len(path) == 2, fall: blend.fall}
}

// walked is what a walk along a path met.
type walked struct {
	largest, fall float64 // steps of UV density from one colour to the next; how far it fell in all
	steps         int
}

// walk goes along a path on the true printer, through all colours that 8 bits a
// channel tell apart, up to a UV density.
func walk(p *darkroom.Printer, path printer.Path, within float64) walked {
	const fine = 1 << 16
	var w walked
	last, uv, highest := [3]float64{255, 255, 255}, 0.0, 0.0
	for i := 0; i <= fine && uv < within; i++ {
		c := path.At(100 * float64(i) / fine)
		here := [3]float64{math.Round(c[0]), math.Round(c[1]), math.Round(c[2])}
		if here == last {
			continue
		}
		next := float64(p.UVDensity(here))
		w.largest = math.Max(w.largest, math.Abs(next-uv))
		w.fall = math.Max(w.fall, highest-next)
		highest = math.Max(highest, next)
		last, uv = here, next
		w.steps++
	}
	return w
}

// swapped takes red for blue.
type swapped struct{ truePrinter }

func (p swapped) UVDensity(c printer.RGB) (uv, sd float64) {
	return p.truePrinter.UVDensity(printer.RGB{c[2], c[1], c[0]})
}

// TestBlendGateTrips sees the gate of a half let a blend pass that knows the
// printer, and stop one that takes yellow ink for cyan.
func TestBlendGateTrips(t *testing.T) {
	var right, wrong []blended
	for i := range 12 {
		s := opacitySetup(4*i + 3) // abrupt light inks
		p := truePrinter{s.Printer()}
		if b := blendTo(t, s, p, printer.RGB{}); b.gap >= aGap {
			right = append(right, b)
			wrong = append(wrong, blendTo(t, s, swapped{p}, printer.RGB{}))
		}
	}
	good, bad := quantile(ratios(right), 0.5), quantile(ratios(wrong), 0.5)
	t.Logf("%d lines with a gap: largest step of the blend over the straight line's %.2f, with the inks mistaken %.2f", len(right), good, bad)
	if good > mostBlendStep || bad <= mostBlendStep {
		t.Errorf("largest step %.2f of the straight line's, with the inks mistaken %.2f: the gate of %.1f does not tell", good, bad, mostBlendStep)
	}
}
