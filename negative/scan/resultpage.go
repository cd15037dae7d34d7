package scan

import (
	"fmt"
	"math"

	"actinic/negative/chart"
)

// PageReport is what was found of one page. Its JSON is part of what the command
// line prints.
type PageReport struct {
	Page          int            `json:"page"` // from 1
	Code          string         `json:"code"`
	Scans         []string       `json:"scans"`
	CodeRead      bool           `json:"code_read"`
	Mirrored      bool           `json:"mirrored"`
	AngleDegrees  float64        `json:"angle_degrees"`
	MarksFound    []string       `json:"marks_found"`
	MarksMissing  []string       `json:"marks_missing"`
	WidthPercent  *float64       `json:"width_percent"`  // of the chart's; null where the scan states no resolution
	HeightPercent *float64       `json:"height_percent"` // the same
	Lightings     []Lighting     `json:"scanner_light"`  // of each scan
	Scales        []*ScaleReport `json:"grey_scale"`     // of each scan; null without one
	OpaqueBox     *BoxReport     `json:"opaque_box"`     // of the first scan; null where there is none
	// DifferLstar is how far further scans of the page differ from the first.
	DifferLstar []float64 `json:"differ_lstar"`
}

// report sums up the scans of one page, the first of which is p.
func (p *pageRead) report(c *chart.Chart, scans []*pageRead) PageReport {
	r := PageReport{Page: p.at.Page + 1, Code: c.Pages[p.at.Page].Code, CodeRead: p.at.CodeRead,
		Mirrored: p.at.Mirrored, AngleDegrees: math.Round(p.at.AngleDegrees*100) / 100,
		MarksFound: []string{}, MarksMissing: []string{}, OpaqueBox: p.box, DifferLstar: append([]float64{}, p.differs...)}
	for _, m := range p.at.Marks {
		if m.Found {
			r.MarksFound = append(r.MarksFound, m.ID)
		} else {
			r.MarksMissing = append(r.MarksMissing, m.ID)
		}
	}
	if p.size.Known {
		across, down := 100*p.size.Across, 100*p.size.Down
		r.WidthPercent, r.HeightPercent = &across, &down
	}
	for _, s := range scans {
		r.Scans, r.Lightings, r.Scales = append(r.Scans, s.name), append(r.Lightings, s.lighting), append(r.Scales, s.scale)
	}
	return r
}

// paperShort is how far the print of full ink may lie from the bare paper before
// the user is told, in L*: about what the eye sees between two areas side by
// side. A working value of ours.
const paperShort = 0.7

// remarks are the sentences for the user about one scan.
func (p *pageRead) remarks(o *Options) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if l := p.lighting; l.Removed {
		say("the scanner's light varies by %.1f %% over the page, as %d places at paper white show; it was evened out", l.RangePercent, l.Places)
	}
	if b := p.box; b != nil {
		p.remarkBox(b, say)
	}
	p.remarkClipping(say)
	if p.scale != nil {
		p.remarkScale(say)
	}
	if o.Channel != All {
		p.remarkChannel(o.Channel, say)
	}
	return out
}

func (p *pageRead) remarkBox(b *BoxReport, say func(string, ...any)) {
	switch {
	case !b.Taped:
		say("no opaque tape lay in its box: whether full ink reaches the white of the paper is not known")
	case math.Abs(b.Difference) > paperShort:
		say("full ink prints %.1f L* away from the paper under the tape (%.1f against %.1f): it does not reach paper white", math.Abs(b.Difference), b.FullInkLstar, b.Lstar)
	default:
		say("full ink reaches paper white: %.1f against %.1f L* under the tape", b.FullInkLstar, b.Lstar)
	}
}

// remarkClipping tells of the end of the scanner's range inside patches.
func (p *pageRead) remarkClipping(say func(string, ...any)) {
	high, low := 0, 0
	for _, r := range p.readings {
		if r.seen.high > mostClipped {
			high++
		}
		if r.seen.low > mostClipped {
			low++
		}
	}
	const hint = "scan again with automatic contrast and exposure off"
	if high > 0 {
		say("the scanner clips its white in %s: %s", counted(high, "patch", "patches"), hint)
	}
	if low > 0 {
		say("the scanner clips its black in %s: %s", counted(low, "patch", "patches"), hint)
	}
}

// Flare below leastFlare is not worth a word; where the tone curve is another by
// more than otherTone, flare and curve cannot be told apart. Working values of
// ours.
const (
	leastFlare = 0.1 // %
	otherTone  = 0.08
)

func (p *pageRead) remarkScale(say func(string, ...any)) {
	s := p.scale
	say("the grey scale changes the scan's tone by up to %.1f L*", s.LargestLstar)
	switch {
	case math.Abs(s.TonePower-1) > otherTone:
		say("the scan's tone curve is not the one that its file claims; the grey scale sets it right")
	case s.FlarePercent >= leastFlare:
		say("flare of the scanner adds %.1f %% of white to every tone; the grey scale takes it out", s.FlarePercent)
	}
	if n := len(s.Clipped); n > 0 {
		say("the grey scale is clipped in the scan at %s, left out here", counted(n, "patch", "patches"))
	}
	if s.LeftLstar > 1 {
		say("a patch of the grey scale is out of order by %.1f L*: check its densities", s.LeftLstar)
	}
}

// counted returns "1 patch" or "3 patches".
func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
