package nextchart

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/printer"
)

// inventedUV is what the colours of an invented printer stop: mostly its yellow
// ink, which blue goes down for.
func inventedUV(c printer.RGB) float64 {
	coverage := func(v float64) float64 { return math.Pow(1-v/255, 1.3) }
	light := (1 - 0.5*coverage(c[0])) * (1 - 0.6*coverage(c[1])) * (1 - 0.98*coverage(c[2]))
	return -math.Log10(light)
}

// inventedInks are the inks of that printer, from a lattice of 4 x 4 x 4 colours.
func inventedInks(t *testing.T) *calibration.Inks {
	t.Helper()
	noise := 0.5
	k := &calibration.Inks{Format: calibration.InksFormat, Version: calibration.InksVersion,
		Exposure:       calibration.InksExposure{Prints: []calibration.InksPrints{{NoiseLstar: &noise}}},
		Characteristic: &calibration.Characteristic{}}
	for i := range 61 {
		x := -3 + 0.05*float64(i)
		k.Characteristic.LogExposure = append(k.Characteristic.LogExposure, x)
		k.Characteristic.PrintDensity = append(k.Characteristic.PrintDensity, float64(density.Lightness(scene{}.lightness(-x)).Density()))
	}
	for i := range 64 {
		c := printer.RGB{85 * float64(i%4), 85 * float64(i/4%4), 85 * float64(i/16)}
		uv, sd := inventedUV(c), 0.02
		k.Colours = append(k.Colours, calibration.InkColour{Patches: []string{"A"}, UVDensity: &uv, SD: &sd, PatchSD: &sd,
			ColourCode: calibration.ColourCode{Red: c[0], Green: c[1], Blue: c[2]}})
	}
	m, err := k.Model()
	if err != nil {
		t.Fatal(err)
	}
	k.Ranking = printer.Rank(m, k.PrinterColours(), printer.RankOptions{NeededRange: 1.5, NeededSD: 0.05})
	return k
}

// Most colours are chosen near the ways that matter, the rest tell of the inks that
// they share; the band
// gets narrower, by more than with as many colours from the lattice.
func TestColoursLieWhereItMatters(t *testing.T) {
	k := inventedInks(t)
	const n = 40
	p, err := Colours(k, n, "x")
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Colours) != n || p.After.Average >= p.Before.Average {
		t.Fatalf("%d colours, band %+v to %+v", len(p.Colours), p.Before, p.After)
	}
	paths := waysOf(k)
	for _, c := range p.Colours {
		for _, v := range c {
			if v != math.Round(v) || v < 0 || v > 255 {
				t.Errorf("colour %v is no printer value", c)
			}
		}
	}
	near, far := 0, 0
	for _, c := range p.Colours {
		if wayOff(c, paths) < 64 {
			near++
		} else {
			far++
		}
	}
	m, _ := k.Model()
	paper, _ := newPaper(k, "x")
	colours := candidateColours(paths)
	d := colourDesign(m, paper, colours, paths, 1)
	for i := range n {
		d.read(len(colours) - 1 - i*(len(colours)-200)/n) // the lattice stands last
	}
	lattice := d.band(0)
	t.Logf("%d near the ways, %d off; band %.3f, after %.3f, lattice %.3f", near, far, p.Before.Average, p.After.Average, lattice.Average)
	if near <= far || p.After.Average >= lattice.Average {
		t.Errorf("%d of %d colours near the ways; band %.3f, with the lattice %.3f", near, n, p.After.Average, lattice.Average)
	}
	again, err := Colours(k, n, "x")
	if err != nil || !reflect.DeepEqual(again, p) {
		t.Error("two plans of one file of inks")
	}
}

// wayOff is how far a colour lies from the nearest of the ways, in code values.
func wayOff(c printer.RGB, paths []printer.Path) float64 {
	off := math.Inf(1)
	for _, p := range paths {
		for i := range 101 {
			at := p.At(float64(i))
			off = math.Min(off, math.Sqrt(math.Pow(c[0]-at[0], 2)+math.Pow(c[1]-at[1], 2)+math.Pow(c[2]-at[2], 2)))
		}
	}
	return off
}

// The weights of a way are shares of the tones that it prints.
func TestToneWeights(t *testing.T) {
	paper, err := newPaper(inventedInks(t), "x")
	if err != nil {
		t.Fatal(err)
	}
	uv := []float64{0.5, 1, 1.5, 3, 0.5, 1, 1.5, 3}
	w := paper.toneWeights(uv, 2)
	sum := 0.0
	for i := range w {
		sum += w[i]
	}
	near(t, "sum", sum, 1, 1e-12)
	near(t, "two ways alike", w[1], w[5], 1e-12)
	near(t, "share of tones", w[1]/w[0], (scene{}.lightness(1)-scene{}.lightness(0.5))/(scene{}.lightness(0.5)-scene{}.lightness(0)), 0.01)
}

func TestColoursRefuses(t *testing.T) {
	for words, spoil := range map[string]func(k *calibration.Inks) int{
		"0 patches":               func(*calibration.Inks) int { return 0 },
		"5001 patches":            func(*calibration.Inks) int { return 5001 },
		"no ink colour":           func(k *calibration.Inks) int { k.Ranking = nil; return 9 },
		"noise of a reading":      func(k *calibration.Inks) int { k.Exposure.Prints[0].NoiseLstar = nil; return 9 },
		"characteristic curve":    func(k *calibration.Inks) int { k.Characteristic = nil; return 9 },
		"field characteristic":    func(k *calibration.Inks) int { k.Characteristic.PrintDensity = nil; return 9 },
		"colours, expected at le": func(k *calibration.Inks) int { k.Colours = k.Colours[:2]; return 9 },
	} {
		k := inventedInks(t)
		_, err := Colours(k, spoil(k), "f.inks.json")
		if !isFault(err) || !strings.Contains(err.Error(), words) {
			t.Errorf("%s: %v", words, err)
		}
	}
}
