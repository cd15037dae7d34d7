package calibration

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"actinic/process/fault"
	"actinic/process/printer"
)

// predict adds what the model says of every colour, and how well it says it. It
// returns the colours that the others do not bear out, and by how much.
func (k *Inks) predict(m *printer.Model) map[printer.RGB]float64 {
	for i := range k.Colours {
		uv, sd := m.UVDensity(k.Colours[i].RGB())
		k.Colours[i].Predicted, k.Colours[i].PredictedSD = &uv, &sd
	}
	k.Printer = &InksPrinter{Irregularity: m.Irregularity()}
	held, err := m.HeldOut(heldOutFolds, heldOutSeed)
	if err != nil || len(held) == 0 {
		return nil
	}
	k.Printer.proveBy(held)
	return k.findOdd(held)
}

// The model is proved by leaving out every colour once, a tenth at a time.
const (
	heldOutFolds = 10
	heldOutSeed  = 1
)

func (q *InksPrinter) proveBy(held []printer.Prediction) {
	sum, in := 0.0, 0.0
	for _, p := range held {
		off := p.Predicted - p.Measured
		sum += off * off
		if math.Abs(off) <= coverage95*math.Hypot(p.PredictedSD, p.MeasuredSD) {
			in++
		}
	}
	n := float64(len(held))
	q.HeldOutRMS, q.HeldOutBand = number(math.Sqrt(sum/n)), number(in/n)
}

// What is odd: a colour further from what the others tell of it than oddAt times
// the doubt, and by leastOdd at least. Dust on one patch does that, and so does a
// printer that jumps (working values of ours).
const (
	oddAt    = 5.0
	leastOdd = 0.1
)

// findOdd names colours that the others do not bear out.
func (k *Inks) findOdd(held []printer.Prediction) map[printer.RGB]float64 {
	off := map[printer.RGB]float64{}
	for _, p := range held {
		d := p.Measured - p.Predicted
		if math.Abs(d) >= math.Max(leastOdd, oddAt*math.Hypot(p.PredictedSD, p.MeasuredSD)) {
			off[p.RGB] = d
		}
	}
	var names []string
	for _, c := range k.Colours {
		d, odd := off[c.RGB()]
		if !odd {
			continue
		}
		if len(names) == mostNamed {
			names = append(names, fmt.Sprintf("and %d more", len(off)-mostNamed))
			break
		}
		names = append(names, fmt.Sprintf("%s (%g, %g, %g: %+.2f)", strings.Join(slices.Compact(slices.Clone(c.Patches)), " and "), c.Red, c.Green, c.Blue, d))
	}
	if names != nil {
		k.Cautions = append(k.Cautions, "Colours that stop more or less than those around them tell: "+strings.Join(names, "; ")+
			". Look for dust or a pinhole there; or the printer jumps. Their doubt counts as so much larger in the ranking.")
	}
	return off
}

// doubting returns colours with the doubt of odd ones widened by how odd they are:
// a speck of dust must not be chosen as ink colour.
func doubting(colours []printer.Colour, odd map[printer.RGB]float64) []printer.Colour {
	for i := range colours {
		c := &colours[i]
		if d, ok := odd[c.RGB]; ok && c.Known() {
			c.SD = math.Hypot(c.SD, d)
		}
	}
	return colours
}

// PrinterColours returns the measured colours as ranking and blend take them; a
// nominal tablet's doubt, which all share, is in theirs.
func (k *Inks) PrinterColours() []printer.Colour {
	out := make([]printer.Colour, len(k.Colours))
	for i, c := range k.Colours {
		out[i] = printer.Colour{RGB: c.RGB(), UVDensity: orNaN(c.UVDensity), SD: orNaN(c.SD), AtLeast: orNaN(c.AtLeast), AtMost: orNaN(c.AtMost)}
	}
	return out
}

func orNaN(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}

// points are the colours as the printer's model takes them, each with the doubt
// that is its own; what all share is one unknown, of which each has its part.
func (k *Inks) points() []printer.Point {
	out := make([]printer.Point, len(k.Colours))
	for i, c := range k.Colours {
		out[i] = printer.Point{RGB: c.RGB(), UVDensity: orNaN(c.UVDensity), SD: orNaN(c.PatchSD), AtLeast: orNaN(c.AtLeast), AtMost: orNaN(c.AtMost)}
		if c.SD != nil {
			out[i].Terms = []float64{math.Sqrt(math.Max(0, *c.SD**c.SD-*c.PatchSD**c.PatchSD))}
		}
	}
	return out
}

// Model fits the printer's model to the colours of the file, always the same for
// the same file. It fails with a *fault.Error where there are too few.
func (k *Inks) Model() (*printer.Model, error) {
	return printer.Fit(k.points(), &printer.Options{TermSD: []float64{1}})
}

// Path returns the way through printer RGB from clear film to the ink colour: the
// blend, or the straight line where that is asked for or there is no blend.
func (k *Inks) Path(straight bool) (printer.Path, error) {
	switch {
	case k.InkColour == nil:
		return nil, fault.New("", "field ink_colour", "no ink colour was chosen, because colours were not ranked",
			"run `actinic opacity` with --range or --process, or choose with --colour")
	case straight || k.Blend == nil:
		return printer.Straight(k.InkColour.RGB()), nil
	}
	return k.Blend.Nodes, nil
}
