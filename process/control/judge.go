package control

import (
	"math"
	"slices"
	"time"

	"actinic/process/calibration"
	"actinic/process/measure"
)

// Request says what a print is held against, and what is known of it.
type Request struct {
	Made        time.Time
	Calibration *calibration.Calibration // nil only for Compare
	Name        string                   // base name of the calibration's file
	Inputs      []calibration.Input      // besides the readings
	Strip       []StripPatch             // patches of the strip beside a picture
	Record      Record
	Tolerance   float64  // L*; 0 takes the usual
	Repeats     []*Check // earlier checks of honest prints of this setup
}

// Judge holds readings of kind Ramp, or Patches of the strip, against a
// calibration. Errors are *fault.Error: other readings, fewer than three, or a
// patch that the strip does not have.
func Judge(t *measure.Table, rq Request) (*Check, error) {
	ps, err := places(t, rq.Calibration, rq.Strip)
	if err != nil {
		return nil, err
	}
	c := rq.newCheck(t)
	c.Calibration, c.Setup = rq.Name, rq.Calibration.Setup
	answer, missing := newResponse(rq.Calibration)
	c.judge(ps, answer, missing, rq, true)
	c.Warnings = append(c.Warnings, mismatches(&rq.Record, rq.Calibration)...)
	if off := offThePath(t, rq.Calibration); off != "" {
		c.Warnings = append(c.Warnings, off)
	}
	return c, nil
}

func (rq *Request) newCheck(t *measure.Table) *Check {
	inputs := append([]calibration.Input{}, rq.Inputs...)
	if t.SHA256 != "" {
		inputs = append([]calibration.Input{{Name: t.Name, SHA256: t.SHA256}}, inputs...)
	}
	return &Check{Format: FileFormat, Version: FileVersion, Made: rq.Made.UTC().Truncate(time.Second), Inputs: inputs,
		Readings: t.Name, Record: rq.Record, UVDensity: []UV{}, Warnings: append([]string{}, t.Notices...)}
}

// judge fills in what the places say. aimed says that the aim is the
// calibration's own.
func (c *Check) judge(ps []place, answer *response, missing string, rq Request, aimed bool) {
	var all []weighed
	if answer != nil && len(ps) < leastFitted {
		answer, missing = nil, "fewer than 5 patches do not tell exposure from contrast"
	}
	if answer != nil {
		all = c.fit(ps, answer, rq, aimed)
	}
	c.NotFitted = missing
	c.Summary = summarise(ps)
	c.Tolerance = rq.tolerance()
	if c.Inside = math.Abs(c.WorstBy) <= c.Tolerance.Lstar; c.Inside {
		c.mindAlone(ps)
	}
	c.Cast = castOf(ps)
	for _, q := range ps {
		c.Patches = append(c.Patches, q.Patch)
		if q.Spoiled {
			c.Warnings = append(c.Warnings, "patch "+q.ID+" fits nothing and is left out: look for dust, a pinhole, a mark, or a slip in its reading")
		}
	}
	c.Answer = c.answer(explanations(all))
}

// leastFitted is how few patches tell four ways of differing apart at all: one more.
const leastFitted = ways + 1

// printsOf is how many prints an aim is the mean of.
func printsOf(c *calibration.Calibration, aimed bool) int {
	if !aimed {
		return 1
	}
	var numbers []int
	for _, p := range c.Exposure.Prints {
		if !p.LeftOut && !slices.Contains(numbers, p.Print) {
			numbers = append(numbers, p.Print)
		}
	}
	return max(1, len(numbers))
}

// fit fills in how the print differs, and returns what explains it. Exposure may
// differ by any amount; the other ways as far as the readings bear out that they do.
func (c *Check) fit(ps []place, answer *response, rq Request, aimed bool) []weighed {
	gs := groups(ps)
	means := make([]place, len(gs))
	for i := range gs {
		means[i] = gs[i].place
	}
	p := newProblem(means, answer, rq.Calibration, printsOf(rq.Calibration, aimed), aimed)
	p.leaveOutOdd()
	p.leaveOutLone(gs)
	all := p.weigh(sizing)
	if len(all) == 0 {
		return nil
	}
	theta, cov := meanBelief(all)
	c.say(theta, func(k int) float64 { return math.Sqrt(math.Max(0, cov.At(k, k))) }, p)
	c.setTime(rq.Record)
	shape := p.setLeft(ps, gs, theta)
	c.ShapeError = &shape
	c.withoutExposure = p.worstWithout(theta[ofExposure])
	c.UVDensity = p.seen(theta)
	return p.weigh(likely)
}

// say puts the ways into the print's figures.
func (c *Check) say(theta [ways]float64, sd func(k int) float64, p *problem) {
	c.ExposureOffset = &Value{Value: theta[ofExposure], SD: sd(ofExposure)}
	c.Contrast = &Value{Value: math.Expm1(theta[ofContrast]), SD: math.Exp(theta[ofContrast]) * sd(ofContrast)}
	c.PaperDensity = &Value{Value: theta[ofPaper], SD: sd(ofPaper)}
	net, _ := p.answer.density(0)
	net -= p.answer.paper
	c.Depth = &Value{Value: net * math.Expm1(theta[ofDepth]), SD: net * math.Exp(theta[ofDepth]) * sd(ofDepth)}
}

// setTime turns the offset into a factor on the next print's time, and into the
// time itself where this print's is known.
func (c *Check) setTime(r Record) {
	factor := math.Pow(10, -c.ExposureOffset.Value)
	c.TimeFactor = &Value{Value: factor, SD: factor * math.Ln10 * c.ExposureOffset.SD}
	if r.Exposure != nil {
		c.NewTime = &Value{Value: *r.Exposure * factor, SD: *r.Exposure * c.TimeFactor.SD}
		c.TimeUnit = r.ExposureUnit
	}
}

// worstWithout is the largest difference, L*, that an exposure offset alone leaves.
func (p *problem) worstWithout(offset float64) float64 {
	var theta [ways]float64
	theta[ofExposure] = offset
	worst := 0.0
	for i, left := range p.left(theta) {
		if !p.places[i].Spoiled {
			worst = math.Max(worst, math.Abs(left))
		}
	}
	return worst
}

// seen is the UV density of each ink as this print saw it: paper and black of the
// print taken off, its exposure and contrast not. Where the curve is level,
// nothing is told.
func (p *problem) seen(theta [ways]float64) []UV {
	out := []UV{}
	for i := range p.places {
		q := &p.places[i]
		if q.Spoiled || q.Ink == nil || math.Abs(p.slope[i]) < leastSlope {
			continue
		}
		d := float64(densityOf(q.Read)) - theta[ofPaper] - p.answer.paper
		x, ok := p.answer.exposure(p.answer.paper + d/math.Exp(theta[ofDepth]))
		if ok {
			out = append(out, UV{Ink: *q.Ink, Read: Value{Value: -x, SD: q.noise / math.Abs(p.slope[i])}, Expected: q.uv})
		}
	}
	return out
}

// leastSlope is how steep the print must be for a patch to tell its UV density, L*
// for one unit of log exposure: 10 makes half an L* 0.05.
const leastSlope = 10
