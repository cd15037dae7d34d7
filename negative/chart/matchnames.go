package chart

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"actinic/process/fault"
	"actinic/process/measure"
)

// names finds the patches of a chart by the names that people and instruments
// write.
type names struct {
	exact map[string]*Patch // by folded name
	loose map[string]*Patch // leading zeros dropped; nil where two patches share it
}

func namesOf(c *Chart) names {
	n := names{map[string]*Patch{}, map[string]*Patch{}}
	for _, page := range c.Pages {
		for i := range page.Patches {
			p := &page.Patches[i]
			n.exact[folded(p.ID)] = p
			key := unpadded(p.ID)
			if _, taken := n.loose[key]; taken {
				n.loose[key] = nil
				continue
			}
			n.loose[key] = p
		}
	}
	return n
}

// find returns the patch that a name means, or nil.
func (n names) find(name string) *Patch {
	if p := n.exact[folded(name)]; p != nil {
		return p
	}
	return n.loose[unpadded(name)]
}

func folded(name string) string { return strings.ToUpper(strings.TrimSpace(name)) }

var leadingZeros = regexp.MustCompile(`(^|[^0-9])0+([0-9])`)

func unpadded(name string) string { return leadingZeros.ReplaceAllString(folded(name), "$1$2") }

// pairUp finds the reading of each patch, by the patch's ID.
func pairUp(t *measure.Table, c *Chart) (map[string]measure.Reading, error) {
	known := namesOf(c)
	found := map[string]measure.Reading{}
	var extra []string
	for _, r := range t.Readings {
		p := known.find(r.ID)
		if p == nil {
			extra = append(extra, r.ID)
			continue
		}
		if before, twice := found[p.ID]; twice {
			return nil, fault.New(t.File, fmt.Sprintf("line %d", r.Line),
				fmt.Sprintf("%s is patch %s again, first %s in line %d", r.ID, p.ID, before.ID, before.Line), "average repeats and give their sd")
		}
		if err := checkAgrees(t, r, p); err != nil {
			return nil, err
		}
		found[p.ID] = r
	}
	if len(extra) > 0 {
		return nil, strangers(t, c, extra)
	}
	return found, nil
}

// strangers is the error for readings that the chart has no patch for.
func strangers(t *measure.Table, c *Chart, extra []string) error {
	what := fmt.Sprintf("%d readings that are no patches of the chart: %s", len(extra), someOf(extra))
	if len(extra) == 1 {
		what = fmt.Sprintf("%s is no patch of the chart", extra[0])
	}
	hint := "check that the readings belong to this chart, and delete what was read beside it"
	if len(extra) == len(t.Readings) {
		hint = fmt.Sprintf("the chart calls its patches %s: name the readings so, or take the chart that they belong to", c.someNames())
	}
	return fault.New(t.File, "", what, hint)
}

// someNames are the first names on the chart, as examples.
func (c *Chart) someNames() string {
	var all []string
	for _, page := range c.Pages {
		for _, p := range page.Patches {
			if all = append(all, p.ID); len(all) == 3 {
				return strings.Join(all, ", ") + " and so on"
			}
		}
	}
	return strings.Join(all, ", ")
}

// How far inks and code values may lie from the chart's and still be the same
// figure, rounded on the way: a tenth of a per cent, half an 8-bit code value.
const (
	inkSlack    = 0.1
	deviceSlack = 0.51
)

// checkAgrees refuses a reading whose own account of its patch is not the chart's.
// Exposures may differ: the clock in the workroom knows better than the plan.
func checkAgrees(t *measure.Table, r measure.Reading, p *Patch) error {
	refuse := func(what string, got, want any) error {
		return fault.New(t.File, fmt.Sprintf("line %d", r.Line), fmt.Sprintf("patch %s has %s %v, %v on the chart", r.ID, what, got, want),
			"check that the readings belong to this chart")
	}
	switch {
	case p.Ink != nil && math.Abs(r.Ink-*p.Ink) > inkSlack: // not where r.Ink is NaN
		return refuse("ink", r.Ink, *p.Ink)
	case p.Device != nil && r.HasDevice && furthest(r.Device, *p.Device) > deviceSlack:
		return refuse("printer code values", r.Device, *p.Device)
	}
	return nil
}

func furthest(a, b [3]float64) float64 {
	far := 0.0
	for i := range a {
		far = math.Max(far, math.Abs(a[i]-b[i]))
	}
	return far
}
