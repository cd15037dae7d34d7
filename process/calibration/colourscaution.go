package calibration

import (
	"fmt"
	"math"
	"strings"

	"actinic/process/density"
)

// Cautions says in plain sentences what to mind about the colours as a whole.
func (c *Colours) Cautions() []string {
	var out []string
	for _, r := range c.Estimate.Reversed {
		out = append(out, r.String()+" Colours that print as dark as these steps are not told from lighter ink.")
	}
	for _, f := range c.Flagged {
		out = append(out, f.String())
	}
	out = append(out, c.exposureCautions()...)
	out = append(out, c.layCaution()...)
	out = append(out, c.baseCaution()...)
	out = append(out, c.fit.placeCautions()...)
	out = append(out, c.Unevenness.colourCautions()...)
	out = append(out, c.outlierCaution()...)
	out = append(out, c.reachCaution()...)
	if !c.Estimate.fit.atRest {
		out = append(out, "The fit of the tablets had not come to rest: take its doubt as too small, and look for odd readings.")
	}
	return out
}

// mostExposureGap is how far a print may move the tablet from what its time should
// do, beyond the doubt, log10: timers and lamps are good to a tenth (a working value
// of ours).
const mostExposureGap = 0.05

// exposureCautions holds the prints' offsets against the exposures that they were
// given: doubling the time must move the tablet by 0.30.
func (c *Colours) exposureCautions() []string {
	var out []string
	first := c.Prints[0].Given
	for k, p := range c.Prints {
		if k == 0 || !(p.Given > 0) || !(first > 0) {
			continue
		}
		want := math.Log10(p.Given / first)
		if off := p.Offset.Value - want; math.Abs(off) > coverage95*p.Offset.SD+mostExposureGap {
			out = append(out, fmt.Sprintf("Print %d was given %.2f times the exposure of print 1, which moves a tablet by %+.2f; it moved by %+.2f +- %.2f. Look for a lamp that had not warmed up, a tablet that was mixed up, or a paper for which a long weak exposure is not a short strong one (reciprocity). The tablets decide here, not the times.",
				k+1, p.Given/first, want, p.Offset.Value, math.Max(0.01, p.Offset.SD)))
		}
	}
	return out
}

// mostContrastGap is how much the contrast of prints differs that are honest prints
// of one paper: a few per cent each (common practice, as deviationPriors).
const mostContrastGap = 0.10

// layCaution says so where no shift of exposure lays the tablets over each other.
func (c *Colours) layCaution() []string {
	const why = "Either a tablet belongs to another print, or the paper's curve changes with the exposure, as it does where the image masks itself while it prints out: then UV densities hold near the exposure that told them."
	first := c.Prints[0].Contrast
	for k, p := range c.Prints {
		gap, sd := p.Contrast.Value-first.Value, math.Hypot(p.Contrast.SD, first.SD)
		if math.Abs(gap) > mostContrastGap+sd {
			return []string{fmt.Sprintf("No shift of exposure lays the tablets over each other: the contrast of print %d differs from that of print 1 by %+.0f %%. %s", k+1, 100*math.Expm1(gap), why)}
		}
	}
	if off, apart := c.fit.tabletsApart(); apart {
		return []string{fmt.Sprintf("No shift of exposure lays the tablets over each other: they stay %.1f L* off the curve that they share. %s", off, why)}
	}
	return nil
}

// mostBaseDoubt is the doubt of the film's own density from which on it is most of
// what a colour's doubt may be.
const mostBaseDoubt = mostDoubt / 2

// baseCaution says so where a tablet in a cut-out leaves the film's own density,
// which all UV densities are net of, in doubt.
func (c *Colours) baseCaution() []string {
	fit := c.Estimate.fit
	sd := math.Sqrt(fit.covariance.At(atBase, atBase))
	if !fit.cutOut || sd <= mostBaseDoubt {
		return nil
	}
	return []string{fmt.Sprintf("The tablet lay in a cut-out, and clear film prints too near the end of the scale to tell the film's own density: %.2f +- %.2f. Every UV density has that doubt. Lay the tablet over the film, or add a print that is exposed so that clear film prints as a mid-tone.", fit.mean[atBase], sd)}
}

// placeCautions names tables of which only a part says where it lies.
func (f *colourFit) placeCautions() []string {
	var out []string
	for _, s := range f.sheets {
		n, all := 0, len(s.colours.Readings)
		for _, r := range s.colours.Readings {
			if placed(r) {
				n++
			}
		}
		if n > 0 && n < all && !f.options.KeepUnevenness {
			out = append(out, fmt.Sprintf("%s: %d of %d patches do not say where they lie (x_mm, y_mm): uneven light and coating stay in these.", s.colours.Name, all-n, all))
		}
	}
	return out
}

// colourCautions says what of the unevenness is too much to leave to the fit.
func (u *Unevenness) colourCautions() []string {
	if u == nil {
		return nil
	}
	var out []string
	for _, p := range u.Prints {
		if x := p.LogExposure.Range.Value; p.lightShows() && x > muchLight {
			out = append(out, fmt.Sprintf("%s: the light differs by %.2f (%.1f stops) over the sheet. It was taken out of the colours, but your prints will show it: raise the lamp, or lay the frame under its middle.", p.Readings, x, x/density.Stop))
		}
		if x := p.NetDensity.Range.Value; p.coatingShows() && x > muchCoating {
			out = append(out, fmt.Sprintf("%s: black differs by %.0f %% over the sheet. It was taken out of the colours, but your prints will show it: coat more evenly, and in both directions.", p.Readings, x))
		}
		if p.Order > inOrder {
			out = append(out, fmt.Sprintf("%s: dense and light colours lie in order on the sheet, not scattered: uneven light or coating can't be told from ink there.", p.Readings))
		}
	}
	return out
}

func (c *Colours) outlierCaution() []string {
	if len(c.Outliers) == 0 {
		return nil
	}
	var names []string
	for i, o := range c.Outliers {
		if i == mostNamed {
			names = append(names, fmt.Sprintf("and %d more", len(c.Outliers)-mostNamed))
			break
		}
		names = append(names, fmt.Sprintf("%s of %s (%+.1f L*)", o.ID, o.File, o.Off))
	}
	return []string{"Readings that disagree with others of their colour, or with their tablet, were given little weight: " + strings.Join(names, "; ") + "."}
}

// manyBeyond is the share of colours beyond the reach of the prints from which on
// another print is worth a word (a working value of ours).
const manyBeyond = 0.2

// reachCaution says which further print would tell the colours that these do not.
func (c *Colours) reachCaution() []string {
	dense, light := 0, 0
	for _, m := range c.Measured {
		switch {
		case m.Known():
		case !math.IsNaN(m.AtLeast) && math.IsNaN(m.AtMost):
			dense++
		case math.IsNaN(m.AtLeast):
			light++
		}
	}
	var out []string
	if many := manyBeyond * float64(len(c.Measured)); float64(dense) > many {
		out = append(out, fmt.Sprintf("%d of %d colours print as paper white: they stop more than these exposures tell (%.2f). A print of the same film at four times the longest exposure, given along with these, tells some 0.6 more.", dense, len(c.Measured), c.High))
	} else if float64(light) > many {
		out = append(out, fmt.Sprintf("%d of %d colours print as black: they stop less than these exposures tell. A print of the same film at a quarter of the shortest exposure, given along with these, tells them.", light, len(c.Measured)))
	}
	return out
}
