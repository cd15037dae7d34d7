package control

import (
	"fmt"
	"math"

	"actinic/process/fault"
	"actinic/process/measure"
)

// Compare holds readings of one print against those of another of the same strip
// or chart, patch by patch by name; aims are the other's readings. A calibration
// in the request adds how exposure and contrast differ, where the readings have
// film ink or are of its strip. Patches that only one of them has are left out
// with a warning; fewer than three in common are a *fault.Error.
func Compare(t, other *measure.Table, rq Request) (*Check, error) {
	if err := checkCount(t); err != nil {
		return nil, err
	}
	byName := map[string]measure.Reading{}
	for _, r := range other.Readings {
		byName[r.Strip+"\x00"+r.ID] = r
	}
	c := rq.newCheck(t)
	c.Against = other.Name
	var ps []place
	for _, r := range t.Readings {
		o, ok := byName[r.Strip+"\x00"+r.ID]
		if !ok {
			c.Warnings = append(c.Warnings, "patch "+r.ID+" is not in "+other.Name+" and is left out")
			continue
		}
		if r.Ink != o.Ink && !math.IsNaN(r.Ink) && !math.IsNaN(o.Ink) {
			return nil, fault.New(t.File, fmt.Sprintf("line %d, column ink", r.Line),
				fmt.Sprintf("patch %s has %g %% ink, in %s it has %g %%", r.ID, r.Ink, other.File, o.Ink), "compare prints of one strip or chart")
		}
		ps = append(ps, against(r, o))
	}
	if len(ps) < leastPatches {
		return nil, fault.New(t.File, "", fmt.Sprintf("%d patches in common with %s, expected at least %d", len(ps), other.File, leastPatches),
			"compare prints of one strip or chart, with the same names of patches")
	}
	if err := checkSense(ps, t.File); err != nil {
		return nil, err
	}
	answer, missing := rq.tie(ps)
	if rq.Calibration != nil {
		c.Calibration, c.Setup = rq.Name, rq.Calibration.Setup
	}
	c.judge(ps, answer, missing, rq, false)
	return c, nil
}

// against is a patch whose aim is another print's.
func against(r, other measure.Reading) place {
	p, o := newPlace(r), newPlace(other)
	p.Aim, p.AimSD = o.Read, o.SD
	p.Difference = p.Read - p.Aim
	p.noise = withUnevenness(p.SD, p.Aim)
	p.AimSD = withUnevenness(p.AimSD, p.Aim)
	if !math.IsNaN(r.Ink) {
		ink := r.Ink
		p.Ink = &ink
	}
	return p
}

// tie gives each patch the UV density of its ink, or says why that cannot be.
func (rq *Request) tie(ps []place) (*response, string) {
	if rq.Calibration == nil {
		return nil, "no calibration was given, so that nothing says how print tone moves with exposure"
	}
	answer, missing := newResponse(rq.Calibration)
	if answer == nil {
		return nil, missing
	}
	curve, err := rq.Calibration.InkCurve()
	if err != nil {
		return nil, err.Error()
	}
	for i := range ps {
		p := &ps[i]
		if p.Ink == nil {
			tone, err := toneOf(&measure.Table{}, measure.Reading{ID: p.ID}, rq.Strip)
			if err != nil {
				return nil, "the patches have neither film ink nor numbers of the check strip"
			}
			ink := curve.Ink(tone)
			p.Tone, p.Ink = &tone, &ink
		}
		p.uv = answer.uv.Held(*p.Ink)
	}
	return answer, ""
}
