package scan

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"actinic/process/density"
)

// scaleDensities are those of the tests' own grey scale.
var scaleDensities = []float64{0.05, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1.05, 1.2, 1.35, 1.5, 1.65, 1.8, 1.95}

// withScale lays a grey scale of squares of 6 mm to the right of the page, 8 mm
// away, from its top down.
func (p *print) withScale() *print {
	wide := *p
	extra := int(24 * p.perMM)
	wide.width = p.width + extra
	wide.lstar = make([]float32, wide.width*p.height)
	for y := range p.height {
		for x := range wide.width {
			l := float32(93.0)
			if x < p.width {
				l = p.lstar[y*p.width+x]
			} else if k, in := squareAt(float64(x-p.width)/p.perMM-8, float64(y)/p.perMM); in {
				l = float32(density.Density(scaleDensities[k]).Lightness())
			}
			wide.lstar[y*wide.width+x] = l
		}
	}
	page := *p.page
	page.WidthMM += 24
	wide.page = &page
	return &wide
}

func squareAt(x, y float64) (k int, in bool) {
	k = int(math.Floor(y / 6))
	return k, x >= 0 && x < 8 && k >= 0 && k < len(scaleDensities)
}

// scaleFile is that scale's file, placed on the page.
func scaleFile(pageWidth float64) string {
	var b strings.Builder
	b.WriteString("patch,print_density,x_mm,y_mm,width_mm,height_mm\n")
	for k, d := range scaleDensities {
		fmt.Fprintf(&b, "s%d,%g,%g,%g,8,6\n", k, d, pageWidth+12, float64(k)*6+3)
	}
	return b.String()
}

// A scanner with flare, or with a tone that is not sRGB, is set right by a grey
// scale in the scan, placed by the marks or by hand.
func TestGreyScaleSetsTheToneRight(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	wide := p.withScale()
	flared := func(y float64) float64 { return sRGB(0.012 + 0.988*y) }
	for name, code := range map[string]func(float64) float64{
		"flare": flared,
		"gamma": func(y float64) float64 { return math.Pow(0.9*y, 1/1.8) },
	} {
		b := bed{ppi: 150, angle: 2, marginMM: 4, noise: 120, code: code, seed: 3}
		s := wide.scan(b)
		plain, _ := errorsOf(mustRead(t, c, nil, s.input("scan.tif")), p)
		scale, err := ReadScale(strings.NewReader(scaleFile(c.Pages[0].WidthMM)), "scale.csv")
		if err != nil {
			t.Fatal(err)
		}
		r := mustRead(t, c, &Options{Scale: scale}, s.input("scan.tif"))
		rms, most := errorsOf(r, p)
		t.Logf("%s: %.2f L* without the scale, %.3f (%.3f at most) with it; report %+v", name, plain, rms, most, *r.Pages[0].Scales[0])
		if rms > 0.2 || most > 0.5 || plain < 5*rms {
			t.Errorf("%s: off by %.3f L*, %.3f at most; without the scale by %.2f", name, rms, most, plain)
		}
		if f := r.Pages[0].Scales[0].FlarePercent; name == "flare" && math.Abs(f-1.2) > 0.3 {
			t.Errorf("flare of %.2f %%, want 1.2", f)
		}
	}
}

func TestGreyScaleByRectangle(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	b := bed{ppi: 150, marginMM: 4, noise: 120, code: func(y float64) float64 { return sRGB(0.01 + 0.99*y) }, seed: 3}
	perMM := b.ppi / 25.4
	s := p.withScale().scan(b)
	for _, backwards := range []bool{false, true} {
		var file strings.Builder
		file.WriteString("patch,print_density\n")
		for k := range scaleDensities {
			if backwards {
				k = len(scaleDensities) - 1 - k
			}
			fmt.Fprintf(&file, "s%d,%g\n", k, scaleDensities[k])
		}
		scale, err := ReadScale(strings.NewReader(file.String()), "scale.csv")
		if err != nil {
			t.Fatal(err)
		}
		scale.Strip = &ScanRect{X: (4 + c.Pages[0].WidthMM + 8) * perMM, Y: 4 * perMM, Width: 8 * perMM, Height: 6 * perMM * float64(len(scaleDensities))}
		if rms, most := errorsOf(mustRead(t, c, &Options{Scale: scale}, s.input("scan.tif")), p); rms > 0.2 {
			t.Errorf("backwards %v: off by %.3f L*, %.3f at most", backwards, rms, most)
		}
	}
}

// Beyond the scale's ends nothing is made up: patches darker than its darkest are
// flagged.
func TestGreyScaleThatEndsTooSoon(t *testing.T) {
	c := smallRamp(t, 150)
	s := contact(t, c, 0).withScale().scan(bed{ppi: 150, angle: 2, marginMM: 4, noise: 120, seed: 3})
	lines := strings.SplitAfter(scaleFile(c.Pages[0].WidthMM), "\n")
	scale, err := ReadScale(strings.NewReader(strings.Join(lines[:8], "")), "scale.csv") // to density 0.9, L* 43
	if err != nil {
		t.Fatal(err)
	}
	r := mustRead(t, c, &Options{Scale: scale}, s.input("scan.tif"))
	for _, reading := range r.Readings {
		dark := tone(*reading.patch.Ink/100) < 38
		if dark != (reading.Flag == "outside the grey scale") && math.Abs(tone(*reading.patch.Ink/100)-40) > 2.5 {
			t.Errorf("%s, L* %.1f: flag %q", reading.ID, tone(*reading.patch.Ink/100), reading.Flag)
		}
	}
}

func TestGreyScaleInTheWrongPlaceIsRefused(t *testing.T) {
	c := smallRamp(t, 150)
	s := contact(t, c, 0).withScale().scan(bed{ppi: 150, angle: 2, marginMM: 4, noise: 120, seed: 3})
	scale, err := ReadScale(strings.NewReader(scaleFile(c.Pages[0].WidthMM-60)), "scale.csv")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Read(context.Background(), []Input{s.input("scan.tif")}, c, &Options{Scale: scale}); err == nil || !strings.Contains(err.Error(), "do not follow") {
		t.Errorf("got %v", err)
	}
}

// A rectangle too long, or a file that leaves patches out, puts the areas across
// the edges of patches: the tones still fall in order, and would be wrong.
func TestGreyScaleAcrossItsPatchesIsRefused(t *testing.T) {
	c := smallRamp(t, 150)
	s := contact(t, c, 0).withScale().scan(bed{ppi: 150, marginMM: 4, noise: 120, seed: 3})
	perMM := 150 / 25.4
	for _, n := range []int{9, 11, 13} {
		var file strings.Builder
		file.WriteString("patch,print_density\n")
		for k, d := range scaleDensities[:n] {
			fmt.Fprintf(&file, "s%d,%g\n", k, d)
		}
		scale, err := ReadScale(strings.NewReader(file.String()), "scale.csv")
		if err != nil {
			t.Fatal(err)
		}
		scale.Strip = &ScanRect{X: (4 + c.Pages[0].WidthMM + 8) * perMM, Y: 4 * perMM, Width: 8 * perMM, Height: 6 * perMM * float64(len(scaleDensities))}
		if _, err := Read(context.Background(), []Input{s.input("scan.tif")}, c, &Options{Scale: scale}); err == nil || !strings.Contains(err.Error(), "holds more than one tone") {
			t.Errorf("%d patches of %d: %v", n, len(scaleDensities), err)
		}
	}
}

func TestReadScaleRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"patch,print_density\na,0.1\nb,0.5\nc,1\n":                          "3 patches, expected",
		"patch,print_density\na,0.1\nb,0.2\nc,0.3\nd,0.2\n":                 "from 0.10 to 0.30",
		"patch\na\nb\nc\nd\n":                                               "exactly one of the columns",
		"patch,print_density,print_lstar\na,0.1,90\n":                       "exactly one of the columns",
		"print_density\n0.1\n0.5\n1\n1.5\n":                                 "no column patch",
		"patch,print_density,x_mm\na,0.1,5\n":                               "or none",
		"patch,print_density\na,0.1\nb,5\nc,1\nd,1.5\n":                     "found 5",
		"patch,print_lstar\na,0\nb,50\nc,70\nd,90\n":                        "found 0",
		"patch,print_density,colour\na,0.1,b\n":                             "colour",
		"patch,print_density,x_mm,y_mm,width_mm,height_mm\na,0.1,5,5,0,1\n": "1 mm or more",
	} {
		if _, err := ReadScale(strings.NewReader(text), "scale.csv"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func FuzzReadScale(f *testing.F) {
	f.Add("patch,print_density\na,0.1\nb,0.5\nc,1\nd,1.5\n")
	f.Add("patch;print_lstar;x_mm;y_mm;width_mm;height_mm\na;90,5;1;2;3;4\n")
	f.Add(scaleFile(100))
	f.Add("\xff\xfe")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadScale(strings.NewReader(text), "scale.csv")
		if err == nil && (len(s.Patches) < leastScale || len(s.Patches) > mostScale) {
			t.Errorf("%d patches", len(s.Patches))
		}
	})
}
