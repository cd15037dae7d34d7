package nextchart

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/monotone"
	"actinic/process/printer"
)

// ColourPlan is what to print on a further chart of printer colours.
type ColourPlan struct {
	Colours []printer.RGB `json:"colours"` // repeats included
	Verdict
}

// The ways of which the chart is to tell: those to the best colours of the
// ranking, and the ink blend (working values of ours).
const (
	waysLooked = 3
	aimsOnAWay = 48
)

// A further print brings a step tablet of its own, which tells its exposure to
// about this, log10 (a working value of ours, from simulated prints).
const exposureKnown = 0.01

// Colours chooses n printer colours for a further print: those that make the
// mean variance of the print's tones fall most, along the straight ways to the
// best colours of the ranking and along the ink blend. n is 1 to 5000; name is the
// file's, for messages. It fails with a *fault.Error where the inks hold no
// ranking, no model or no characteristic curve.
func Colours(k *calibration.Inks, n int, name string) (*ColourPlan, error) {
	if n < 1 || n > mostLevels {
		return nil, fault.New("", "", fmt.Sprintf("%d patches, expected 1 to %d", n, mostLevels), "as many as the first chart had serve as a rule")
	}
	paths := waysOf(k)
	if len(paths) == 0 {
		return nil, fault.New(name, "", "no ink colour was chosen: which colours matter is not known", "rank the colours with `actinic opacity --range` or --process")
	}
	m, err := k.Model()
	if err != nil {
		return nil, fault.InFile(err, name)
	}
	paper, err := newPaper(k, name)
	if err != nil {
		return nil, err
	}
	colours := candidateColours(paths)
	d := colourDesign(m, paper, colours, paths, 1+(2*n-1)/len(colours))
	before := d.band(0)
	d.choose(n)
	p := &ColourPlan{Verdict: verdict(before, d.band(0))}
	for _, i := range d.chosen {
		p.Colours = append(p.Colours, colours[i])
	}
	return p, nil
}

// waysOf are the ways through printer RGB that the chart is to tell of.
func waysOf(k *calibration.Inks) []printer.Path {
	var paths []printer.Path
	if k.Ranking != nil {
		for _, r := range k.Ranking.ShortList(waysLooked) {
			paths = append(paths, printer.Straight(r.RGB()))
		}
	}
	if k.InkColour != nil && len(paths) == 0 {
		paths = append(paths, printer.Straight(k.InkColour.RGB()))
	}
	if k.Blend != nil && len(k.Blend.Nodes) > 1 {
		paths = append(paths, k.Blend.Nodes)
	}
	return paths
}

// The colours that may be chosen: a lattice over the whole cube, and steps of the
// ways, on whole printer values.
const (
	latticeSteps = 8
	stepsOnAWay  = 40
)

func candidateColours(paths []printer.Path) []printer.RGB {
	seen := map[printer.RGB]bool{printer.Clear: true}
	var all []printer.RGB
	add := func(c printer.RGB) {
		for i := range c {
			c[i] = math.Round(c[i])
		}
		if !seen[c] {
			seen[c] = true
			all = append(all, c)
		}
	}
	for _, p := range paths {
		for i := 1; i <= stepsOnAWay; i++ {
			add(p.At(100 * float64(i) / stepsOnAWay))
		}
	}
	value := func(i int) float64 { return 255 * float64(i) / latticeSteps }
	for r := range latticeSteps + 1 {
		for g := range latticeSteps + 1 {
			for b := range latticeSteps + 1 {
				add(printer.RGB{value(r), value(g), value(b)})
			}
		}
	}
	return all
}

// colourDesign starts a design of readings of colours whose aims are the print
// tones along the ways.
func colourDesign(m *printer.Model, paper *paper, colours []printer.RGB, paths []printer.Path, most int) *design {
	all := append([]printer.RGB(nil), colours...)
	for _, p := range paths {
		for i := range aimsOnAWay {
			all = append(all, p.At(100*float64(i+1)/aimsOnAWay))
		}
	}
	cov, uv := m.Covariance(all), m.UVDensities(all)
	n := len(colours)
	slope, noise := make([]float64, len(all)), make([]float64, n)
	for i := range all {
		_, slope[i] = paper.tone(uv[i])
	}
	for i := range noise {
		noise[i] = paper.noise(uv[i])
	}
	own := float64(exposureKnown * exposureKnown)
	scaled := mat.NewSymDense(len(all), nil)
	for i := range all {
		for j := i; j < len(all); j++ {
			v := cov.At(i, j)
			if j < n { // both on the further print
				v += own
			}
			scaled.SetSym(i, j, float64(slope[i]*v)*slope[j])
		}
	}
	return newDesign(scaled, noise, paper.toneWeights(uv[n:], len(paths)), most)
}

// paper is how UV density prints, and how well a reading tells it.
type paper struct {
	curve   *monotone.Curve // print density over log exposure
	low     float64         // log exposure, where the curve ends
	high    float64
	lstar   float64 // noise of a reading, L*; 0 when it is in density
	density float64
}

func newPaper(k *calibration.Inks, name string) (*paper, error) {
	c := k.Characteristic
	if c == nil || len(k.Exposure.Prints) == 0 {
		return nil, fault.New(name, "field characteristic", "no characteristic curve: how UV density prints is not known", "make the file again with `actinic opacity`")
	}
	curve, err := monotone.New(c.LogExposure, c.PrintDensity)
	if err != nil {
		return nil, fault.New(name, "field characteristic", err.Error(), "use the file as `actinic opacity` wrote it")
	}
	p := &paper{curve: curve, low: c.LogExposure[0], high: c.LogExposure[len(c.LogExposure)-1]}
	last := k.Exposure.Prints[len(k.Exposure.Prints)-1]
	switch {
	case last.NoiseLstar != nil && *last.NoiseLstar > 0:
		p.lstar = *last.NoiseLstar
	case last.NoiseDensity != nil && *last.NoiseDensity > 0:
		p.density = *last.NoiseDensity
	default:
		return nil, fault.New(name, "field exposure.prints", "the noise of a reading is not known", "make the file again with `actinic opacity`")
	}
	return p, nil
}

// slopeStep is over how much UV density a slope is taken.
const slopeStep = 0.01

// tone is the L* that a UV density prints, and how it changes with UV density;
// beyond the curve it does not.
func (p *paper) tone(uv float64) (lstar, slope float64) {
	at := func(x float64) float64 {
		return float64(density.Density(p.curve.Held(min(max(x, p.low), p.high))).Lightness())
	}
	return at(-uv), (at(-uv-slopeStep) - at(-uv+slopeStep)) / (2 * slopeStep)
}

// noise is the variance of a reading under a UV density, L* squared.
func (p *paper) noise(uv float64) float64 {
	sd := p.lstar
	if sd == 0 {
		sd = -p.density * density.Density(p.curve.Held(min(max(-uv, p.low), p.high))).LightnessSlope()
	}
	return math.Max(float64(sd*sd), 1e-10)
}

// toneWeights gives the aims along each way the share of the print's tones that
// they stand for, so that a way's mean is one over tones.
func (p *paper) toneWeights(uv []float64, ways int) []float64 {
	weight, each := make([]float64, len(uv)), len(uv)/ways
	for w := range ways {
		part, total := weight[w*each:(w+1)*each], 0.0
		last, _ := p.tone(0)
		for i := range part {
			l, _ := p.tone(uv[w*each+i])
			part[i] = math.Abs(l - last)
			total += part[i]
			last = l
		}
		for i := range part {
			if total > 0 {
				part[i] /= total * float64(ways)
			} else {
				part[i] = 1 / float64(len(uv))
			}
		}
	}
	return weight
}
