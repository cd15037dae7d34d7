package scan

import (
	"fmt"
	"math"
)

// combine averages readings of one area in several scans in reflectance, all
// with the same weight. Where only some are flagged, the others alone count.
func combine(rs []*Reading) *Reading {
	use := rs[:0:0]
	for _, r := range rs {
		if r.Flag == "" {
			use = append(use, r)
		}
	}
	if len(use) == 0 {
		use = rs
	}
	out := *use[0]
	n := float64(len(use))
	var y, variance float64
	out.Count, out.SD = 0, 0
	for _, r := range use {
		y += r.y / n
		variance += float64(r.Spread*r.Spread) / n
		out.Count += r.Count
		out.SD = max(out.SD, r.SD) // mottle is the print's: the same in all
	}
	out.y, out.Lstar, out.Spread = y, lightness(y), math.Sqrt(variance)
	return &out
}

// combinePages makes one page of several scans of it.
func combinePages(pages []*pageRead) *pageRead {
	first := *pages[0]
	if len(pages) == 1 {
		return &first
	}
	first.readings = combineAll(pages, func(p *pageRead) []*Reading { return p.readings })
	first.steps = combineSteps(pages)
	for _, other := range pages[1:] {
		if d, n := difference(pages[0].readings, other.readings); n > 0 {
			first.differs = append(first.differs, d)
			first.notices = append(first.notices, averaged(pages[0].name, other.name, d))
		}
		first.notices = append(first.notices, other.notices...)
	}
	return &first
}

// mostDiffer is what two scans of a page may differ by in L*: a scanner's light
// falls off by 5 % at most as a rule, which is 2 L* at paper white. A working value
// of ours, from memory.
const mostDiffer = 3.0

func averaged(one, other string, differ float64) string {
	text := fmt.Sprintf("%s and %s show the same page and were averaged; their readings differ by %.2f L* as a rule", one, other, differ)
	if differ > mostDiffer {
		text += ": they are of two prints, or one was scanned with other settings; scan again, or read one alone"
	}
	return text
}

func combineAll(pages []*pageRead, of func(*pageRead) []*Reading) []*Reading {
	out := make([]*Reading, len(of(pages[0])))
	for i := range out {
		var same []*Reading
		for _, p := range pages {
			same = append(same, of(p)[i])
		}
		out[i] = combine(same)
	}
	return out
}

// combineSteps averages the tablet's steps over the scans that saw as many of
// them as the first that saw any.
func combineSteps(pages []*pageRead) []*Reading {
	var with []*pageRead
	for _, p := range pages {
		if len(p.steps) > 0 && (len(with) == 0 || len(p.steps) == len(with[0].steps)) {
			with = append(with, p)
		}
	}
	if len(with) == 0 {
		return nil
	}
	return combineAll(with, func(p *pageRead) []*Reading { return p.steps })
}

// difference is the root mean square of what two scans read differently, in L*,
// flagged readings left out.
func difference(a, b []*Reading) (rms float64, n int) {
	sum := 0.0
	for i := range a {
		if a[i].Flag == "" && b[i].Flag == "" {
			d := a[i].Lstar - b[i].Lstar
			sum += float64(d * d)
			n++
		}
	}
	return math.Sqrt(sum / float64(max(n, 1))), n
}
