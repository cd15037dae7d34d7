package calibration

import (
	"errors"
	"math"
	"time"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/printer"
)

// InksRequest says what to make of a fit to colours.
type InksRequest struct {
	Setup    Setup
	Made     time.Time
	Unit     string   // of the prints' exposures
	Cautions []string // of the process; go to the front
	// NeededRange is what the ink colour must reach, as asked for; 0 leaves it to the
	// tablets and, where they do not reach black, to CardScale.
	NeededRange float64
	// CardScale is the longest exposure scale on the process card; 0 without one.
	CardScale float64
	InkColour *printer.RGB // chosen by the user; nil for the best
	Straight  bool         // no blend
}

// Inks makes the file of inks of a fit: it fits the printer's model to the
// colours, ranks them by the needed range, and finds the blend to the best. Where
// no colour reaches the range, the ink colour is the one that comes nearest.
// Without a needed range, or with too few colours for a model, that part is null
// and a caution says why.
func (c *Colours) Inks(rq InksRequest) (*Inks, error) {
	k := &Inks{Format: InksFormat, Version: InksVersion, Made: rq.Made.UTC().Truncate(time.Second), Inputs: c.inputs(),
		Setup: rq.Setup, Exposure: c.exposure(rq.Unit), Characteristic: c.Estimate.characteristic(),
		Quality: c.quality(), Cautions: append([]string{}, rq.Cautions...)}
	for _, m := range c.Measured {
		k.Colours = append(k.Colours, inkColour(m))
	}
	var mind string
	k.NeededRange, mind = c.neededRange(rq)
	k.Cautions = append(k.Cautions, c.Cautions()...)
	if mind != "" {
		k.Cautions = append(k.Cautions, mind)
	}
	m, err := k.Model()
	if err != nil {
		k.Cautions = append(k.Cautions, "No model of the printer: "+textOf(err)+". Colours are not ranked, and there is no ink blend.")
		k.choose(rq)
		return k, nil
	}
	odd := k.predict(m)
	if k.NeededRange != nil {
		k.Ranking = printer.Rank(m, doubting(c.PrinterColours(), odd), c.rankOptions(k.NeededRange))
	}
	k.choose(rq)
	return k, k.blend(m, rq)
}

// textOf is an error's text without its file.
func textOf(err error) string {
	var f *fault.Error
	if errors.As(err, &f) {
		return f.What
	}
	return err.Error()
}

func inkColour(m MeasuredColour) InkColour {
	return InkColour{Patches: m.Patches, ColourCode: colourCode(m.RGB), UVDensity: number(m.UVDensity), SD: number(m.SD),
		PatchSD: number(m.PatchSD), AtLeast: number(m.AtLeast), AtMost: number(m.AtMost)}
}

func (c *Colours) inputs() []Input {
	var out []Input
	for _, p := range c.fit.prints {
		for _, t := range []*measure.Table{p.Colours, p.Tablet} {
			out = append(out, Input{t.Name, t.SHA256})
		}
	}
	return out
}

func (c *Colours) exposure(unit string) InksExposure {
	x := InksExposure{Unit: unit}
	for k, p := range c.Prints {
		out := InksPrints{Readings: c.fit.prints[k].Colours.Name, Offset: p.Offset, Contrast: p.Contrast,
			Low: number(p.Low), High: number(p.High)}
		if p.Given > 0 {
			out.Given = number(p.Given)
		}
		if p.Unit == measure.InLightness {
			out.NoiseLstar = number(p.Noise)
		} else {
			out.NoiseDensity = number(p.Noise)
		}
		x.Prints = append(x.Prints, out)
	}
	return x
}

func (c *Colours) quality() InksQuality {
	q := InksQuality{Readings: len(c.fit.readings), Colours: len(c.Measured), Low: c.Low, High: c.High,
		Outliers: append([]Outlier{}, c.Outliers...), Reversed: []string{}, Flagged: []Flagged{}, Unevenness: c.Unevenness}
	for _, m := range c.Measured {
		if m.Known() {
			q.Numbers++
		}
	}
	for _, f := range c.Flagged {
		if !f.Used {
			q.Flagged = append(q.Flagged, f.Readings...)
		}
	}
	for _, r := range c.Estimate.Reversed {
		q.Reversed = append(q.Reversed, r.IDs...)
	}
	return q
}

// rankOptions are the range with the doubt that counts against colours: what the
// range shares with them, by the tablet both were read off, does not; what a range
// from elsewhere does not share, does. What paper white needs at the exposure of the
// print shares all: a colour that prints paper white reaches it, wherever the
// curve's toe truly lies.
func (c *Colours) rankOptions(r *InksRange) printer.RankOptions {
	shared := c.TabletShare * r.Value.Value
	o := printer.RankOptions{NeededRange: r.Value.Value}
	switch r.From {
	case fromExposure:
	case fromTablet:
		o.NeededSD = math.Sqrt(math.Max(0, r.SD*r.SD-shared*shared))
	default:
		o.NeededSD = math.Hypot(r.SD, shared)
	}
	return o
}

// choose sets the ink colour: the one asked for, or the first of the ranking.
func (k *Inks) choose(rq InksRequest) {
	switch {
	case rq.InkColour != nil:
		c := colourCode(*rq.InkColour)
		k.InkColour = &c
	case k.Ranking != nil && len(k.Ranking.Colours) > 0:
		c := colourCode(k.Ranking.Colours[0].RGB())
		k.InkColour = &c
	}
}

// blend finds the way to the ink colour.
func (k *Inks) blend(m *printer.Model, rq InksRequest) error {
	if k.InkColour == nil {
		return nil
	}
	to, needed := k.InkColour.RGB(), 0.0
	if k.NeededRange != nil {
		needed = k.NeededRange.Value.Value
	}
	straight := printer.Straight(to)
	path := straight
	if !rq.Straight {
		var err error
		if path, err = printer.NewBlend(m, to, printer.BlendOptions{NeededRange: needed, FixedEnd: rq.InkColour != nil}); err != nil {
			return err
		}
	}
	o := printer.GradationOptions{Range: needed}
	k.Blend = &InksBlend{Nodes: path, Straight: printer.GradationOf(m, straight, o), Blend: printer.GradationOf(m, path, o)}
	return nil
}
