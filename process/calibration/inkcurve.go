package calibration

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/monotone"
	"actinic/process/printer"
)

// InkCurve is a calibration made ready for pictures: picture tone to film ink,
// film ink to printer RGB and to the print that it gives. It is safe for
// concurrent use.
type InkCurve struct {
	ink   *monotone.Curve // of tone
	print *monotone.Curve // L* of ink
	nodes []PathNode
	grey  bool
}

// InkCurve builds the curves of the nodes in the file.
func (c *Calibration) InkCurve() (*InkCurve, error) {
	k := &InkCurve{grey: true}
	var err error
	if k.ink, err = monotone.New(c.Curve.Tone, c.Curve.Ink); err != nil {
		return nil, fmt.Errorf("calibration: curve: %w", err)
	}
	if k.print, err = monotone.New(c.Ink.Percent, c.Ink.PrintLstar); err != nil {
		return nil, fmt.Errorf("calibration: print: %w", err)
	}
	k.setPath(c.Ink.Path)
	return k, nil
}

// setPath keeps the path as three piecewise straight lines; a channel need not
// run one way, so that monotone curves do not fit it.
func (k *InkCurve) setPath(path []PathNode) {
	for _, n := range path {
		k.grey = k.grey && n.Red == n.Green && n.Green == n.Blue
	}
	k.nodes = path
}

// Ink returns the film ink, %, of a picture tone of 0 to 100; tones beyond are
// held at the ends.
func (k *InkCurve) Ink(tone float64) float64 { return k.ink.Held(tone) }

// PrintLightness returns the L* to expect of the print under a film ink of 0 to
// 100 %.
func (k *InkCurve) PrintLightness(ink float64) density.Lightness {
	return density.Lightness(k.print.Held(ink))
}

// Neutral says whether red, green and blue are the same all along the ramp, so
// that a grey file holds the negative.
func (k *InkCurve) Neutral() bool { return k.grey }

// Device returns printer red, green and blue, each 0 to 1, of a film ink of 0
// to 100 %; inks beyond are held at the ends.
func (k *InkCurve) Device(ink float64) [3]float64 {
	n := k.nodes
	ink = max(0, min(100, ink))
	i := 1
	for i < len(n)-1 && ink > n[i].Percent {
		i++
	}
	a, b := n[i-1], n[i]
	t := (ink - a.Percent) / (b.Percent - a.Percent)
	mix := func(from, to float64) float64 { return (from + float64(t*(to-from))) / 255 }
	return [3]float64{mix(a.Red, b.Red), mix(a.Green, b.Green), mix(a.Blue, b.Blue)}
}

// straightLine is how far, in code values, printer RGB may lie off a straight
// line from clear film to full ink and still be one: rounding to whole codes.
const straightLine = 0.75

// PathOf returns the way through printer RGB that ramps of readings took: two
// nodes for a straight line. Readings without code values mean the neutral
// ramp, white to black.
func PathOf(ramps []*measure.Table) ([]PathNode, error) {
	nodes, err := pathNodes(ramps)
	if err != nil || len(nodes) == 0 {
		return printer.Straight(printer.RGB{}), err
	}
	first, last := nodes[0], nodes[len(nodes)-1]
	ends := []PathNode{extend(first, last, 0), extend(first, last, 100)}
	for _, n := range nodes {
		line := extend(first, last, n.Percent)
		off := math.Max(math.Abs(line.Red-n.Red), math.Max(math.Abs(line.Green-n.Green), math.Abs(line.Blue-n.Blue)))
		if off > straightLine {
			return bentPath(nodes, ramps[0].File)
		}
	}
	return ends, nil
}

func bentPath(nodes []PathNode, file string) ([]PathNode, error) {
	if nodes[0].Percent != 0 || nodes[len(nodes)-1].Percent != 100 {
		return nil, fault.New(file, "", "the ramp bends through printer RGB and does not start at 0 % and end at 100 % ink",
			"print clear film and full ink with the ramp")
	}
	return nodes, nil
}

// extend returns the point of the line through two nodes at a percentage, held
// within code values.
func extend(a, b PathNode, percent float64) PathNode {
	t := (percent - a.Percent) / (b.Percent - a.Percent)
	mix := func(from, to float64) float64 { return math.Max(0, math.Min(255, from+float64(t*(to-from)))) }
	return printer.NewNode(percent, printer.RGB{mix(a.Red, b.Red), mix(a.Green, b.Green), mix(a.Blue, b.Blue)})
}
