package control

import "math"

// Cast is the colour of the print along the tone scale. A cast that changes along
// the scale shows most in solid greys.
type Cast struct {
	Paper   [2]float64  `json:"paper_ab"`         // CIE a*, b* of the lightest patch
	Hue     *float64    `json:"mean_hue_degrees"` // of the image, counted from the paper's colour; null where it has none
	Patches []CastPatch `json:"patches"`
	// The largest of each, and the patch that has it.
	FromPaper      float64 `json:"most_from_paper"`
	FromPaperPatch string  `json:"most_from_paper_patch"`
	FromHue        float64 `json:"most_from_hue"`
	FromHuePatch   string  `json:"most_from_hue_patch"`
}

// CastPatch is the colour of one patch. Differences are CIEDE2000.
type CastPatch struct {
	ID        string  `json:"patch"`
	Lstar     float64 `json:"lstar"`
	A         float64 `json:"a"`
	B         float64 `json:"b"`
	FromPaper float64 `json:"from_paper"` // against the paper's a*, b* at this lightness
	FromHue   float64 `json:"from_hue"`   // against the mean hue at this lightness and distance from the paper
}

// leastChroma is how far from the paper's colour an image without a hue worth the
// name lies on the mean (a working value of ours: half of what is noticed).
const leastChroma = 0.5

// castOf says how colour runs along the scale; nil where fewer than three patches
// have colour.
func castOf(ps []place) *Cast {
	var coloured []place
	for _, p := range ps {
		if !math.IsNaN(p.a) && !math.IsNaN(p.b) && !p.Spoiled {
			coloured = append(coloured, p)
		}
	}
	if len(coloured) < leastPatches {
		return nil
	}
	lightest := coloured[0]
	var a, b float64
	for _, p := range coloured {
		if p.Read > lightest.Read {
			lightest = p
		}
		a, b = a+p.a, b+p.b
	}
	c := &Cast{Paper: [2]float64{lightest.a, lightest.b}, Patches: []CastPatch{}}
	a, b = a-float64(len(coloured))*lightest.a, b-float64(len(coloured))*lightest.b
	if math.Hypot(a, b)/float64(len(coloured)) >= leastChroma {
		h := hueDegrees(a, b)
		c.Hue = &h
	}
	for _, p := range coloured {
		c.add(p)
	}
	return c
}

func (c *Cast) add(p place) {
	one := CastPatch{ID: p.ID, Lstar: p.Read, A: p.a, B: p.b}
	lab := [3]float64{p.Read, p.a, p.b}
	one.FromPaper = CIEDE2000(lab, [3]float64{p.Read, c.Paper[0], c.Paper[1]})
	if c.Hue != nil {
		far := math.Hypot(p.a-c.Paper[0], p.b-c.Paper[1])
		one.FromHue = CIEDE2000(lab, [3]float64{p.Read, c.Paper[0] + far*cosDegrees(*c.Hue), c.Paper[1] + far*sinDegrees(*c.Hue)})
	}
	if one.FromPaper > c.FromPaper {
		c.FromPaper, c.FromPaperPatch = one.FromPaper, p.ID
	}
	if one.FromHue > c.FromHue {
		c.FromHue, c.FromHuePatch = one.FromHue, p.ID
	}
	c.Patches = append(c.Patches, one)
}
