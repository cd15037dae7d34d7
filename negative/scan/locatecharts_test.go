package scan

import (
	"context"
	"strings"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/process/sensitometry"
)

// chartMakers make the charts that are printed in earnest, drawn finely enough
// to be a ground: 8 pixels a millimetre.
var chartMakers = []struct {
	name string
	make func(s chart.Sheet) (*chart.Chart, error)
}{
	{"ramp", func(s chart.Sheet) (*chart.Chart, error) {
		return chart.NewRamp(chart.RampOptions{Sheet: s, Levels: 41, Repeats: 2})
	}},
	{"colours", func(s chart.Sheet) (*chart.Chart, error) {
		return chart.NewColours(chart.ColoursOptions{Sheet: s, Patches: 200})
	}},
	{"many colours", func(s chart.Sheet) (*chart.Chart, error) {
		return chart.NewColours(chart.ColoursOptions{Sheet: s, Patches: 924})
	}},
	{"check", func(s chart.Sheet) (*chart.Chart, error) { return chart.NewCheck(chart.CheckOptions{Sheet: s}) }},
	{"tablet", chart.NewTablet},
	{"exposure", func(s chart.Sheet) (*chart.Chart, error) {
		steps, err := sensitometry.PlanExposures(
			sensitometry.Exposure{Amount: 120, Unit: sensitometry.Seconds},
			sensitometry.Exposure{Amount: 1920, Unit: sensitometry.Seconds}, 9)
		if err != nil {
			return nil, err
		}
		return chart.NewExposure(chart.ExposureOptions{Sheet: s, Steps: steps})
	}},
}

// chartOf returns a chart of the kind and size that a seed stands for, nil where
// that size has no room for it.
func chartOf(t *testing.T, seed uint64) *chart.Chart {
	t.Helper()
	maker := chartMakers[int(seed)%len(chartMakers)]
	size := sheetsMM[int(seed/uint64(len(chartMakers)))%len(sheetsMM)]
	c, err := maker.make(chart.Sheet{WidthMM: size[0], HeightMM: size[1], MarginMM: 6, PPI: groundPerMM * 25.4, Seed: seed})
	if err != nil {
		t.Logf("%s of %.0fx%.0f mm: %v", maker.name, size[0], size[1], err)
		return nil
	}
	return c
}

// groundOf draws a page of a chart as the program does.
func groundOf(t *testing.T, c *chart.Chart, page int) *ground {
	t.Helper()
	src := chart.Draw(c, page)
	h := src.Header()
	g := &ground{width: h.Width, height: h.Height, v: make([]float32, h.Width*h.Height)}
	rows := raster.NewBand(h, 64)
	for y := 0; y < h.Height; {
		n, err := src.ReadRows(context.Background(), rows)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[:n] {
			for x := range h.Width {
				var sum float32
				for _, v := range row[x*h.Channels:][:h.Channels] {
					sum += float32(v)
				}
				g.v[y*h.Width+x] = 1 - sum/(65535*float32(h.Channels))
			}
			y++
		}
	}
	return g
}

// TestLocateCharts locates the program's own charts of all kinds and sizes in bad
// scans. The opacity of colours is taken to go with how dark they are, which is
// not true of inks, and does not matter here.
//
// The figures: go test ./negative/scan -run '^TestLocateCharts$' -v -locate-scans 300 -locate-seed 9000
func TestLocateCharts(t *testing.T) {
	var coded, bare tally
	named, others := 0, 0
	for i := range *scansFlag {
		seed := *seedFlag + uint64(i)
		c, other := chartOf(t, seed), chartOf(t, seed+uint64(len(chartMakers)+1+i%2))
		if c == nil || other == nil {
			continue
		}
		n := int(seed) % len(c.Pages)
		page := &c.Pages[n]
		b := badScan(seed, page)
		b.film = groundOf(t, c, n)
		p := b.scan(page)
		coded.add(t, p, c, n, &b)
		bare.add(t, p, withoutCode(c), n, &b)
		l, err := Locate(p, other)
		if others++; err == nil {
			t.Errorf("seed %d: a page of another chart was taken for page %d, code read %v", seed, l.Page, l.CodeRead)
		} else if strings.Contains(err.Error(), page.Code) {
			named++
		}
	}
	t.Logf("%d scans of other charts were refused, %d by naming their code", others, named)
	coded.report(t, "with the code", 0.03)
	bare.report(t, "by marks alone", 0.05)
}
