package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// chartFiles runs a chart command in a new folder and returns the chart and the
// stem of its files.
func chartFiles(t *testing.T, args ...string) (*chart.Chart, string) {
	t.Helper()
	stem := filepath.Join(t.TempDir(), "x")
	a, _, errs := newTestApp(nil)
	if code := run(context.Background(), append(append([]string{"--quiet", "chart"}, args...), "-o", stem), a.streams); code != exitDone {
		t.Fatalf("%q: exit code %d: %s", args, code, errs)
	}
	f, err := os.Open(stem + ".chart.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := chart.Decode(f, "x.chart.json")
	if err != nil {
		t.Fatal(err)
	}
	return c, stem
}

// greyRows returns a picture's first channel, 16 bits.
func greyRows(t *testing.T, name string) [][]uint16 {
	t.Helper()
	src, err := raster.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	h := src.Header()
	all := raster.NewBand(h, h.Height)
	for at := 0; at < len(all); {
		n, err := src.ReadRows(context.Background(), all[at:])
		if err != nil {
			t.Fatal(err)
		}
		at += n
	}
	for y, row := range all {
		grey := make([]uint16, h.Width)
		for x := range grey {
			grey[x] = row[x*h.Channels]
		}
		all[y] = grey
	}
	return all
}

// TestChartPDFIsTheRaster: the PDF, drawn by poppler at the chart's resolution,
// holds the pixels of the TIFF, and its page has the film's size.
func TestChartPDFIsTheRaster(t *testing.T) {
	for _, args := range [][]string{{"ramp", "--film", "A5", "--ppi", "300"}, {"check", "--ppi", "360"}, {"colours", "--film", "A5", "--patches", "100", "--ppi", "200"}} {
		c, stem := chartFiles(t, args...)
		p := c.Pages[0]
		outside.Run(t, "pdftocairo", "poppler-utils", "-png", "-singlefile", "-r", fmt.Sprint(p.PPI), stem+".pdf", stem+"-page")
		film, page := greyRows(t, stem+".tif"), greyRows(t, stem+"-page.png")
		// Poppler rounds a page up to whole pixels and stretches the picture by as
		// much: a pixel may take what its neighbours have.
		if d := len(page) - len(film); d < 0 || d > 1 {
			t.Fatalf("%q: page of %d rows, film of %d", args, len(page), len(film))
		}
		for y, row := range film {
			for x := range row {
				if low, high := around(film, x, y); page[y][x] < low || page[y][x] > high {
					t.Fatalf("%q: pixel %d, %d is %d on the page, %d to %d on the film about there", args, x, y, page[y][x], low, high)
				}
			}
		}
	}
}

// around returns the least and the greatest value of a pixel and its
// neighbours, and what 8 bits make of them.
func around(rows [][]uint16, x, y int) (low, high uint16) {
	low, high = rows[y][x], rows[y][x]
	for _, row := range rows[max(y-1, 0):min(y+2, len(rows))] {
		for _, v := range row[max(x-1, 0):min(x+2, len(row))] {
			low, high = min(low, v), max(high, v)
		}
	}
	return low - min(low, 128), high + min(65535-high, 128)
}

// TestChartCodeReads: zbar reads the code of each page from the print's side of
// the PDF as poppler draws it, dark where the print is dark.
func TestChartCodeReads(t *testing.T) {
	for _, args := range [][]string{{"check"}, {"exposure", "--from", "2m", "--to", "32m", "--film", "5x7"}, {"colours", "--film", "A5", "--patches", "400"}} {
		c, stem := chartFiles(t, args...)
		outside.Run(t, "pdftocairo", "poppler-utils", "-png", "-r", "200", stem+".pdf", stem+"-page")
		pages, err := filepath.Glob(stem + "-page-*.png")
		if err != nil || len(pages) != len(c.Pages) {
			t.Fatalf("%q: %d pages drawn of %d", args, len(pages), len(c.Pages))
		}
		for i, page := range pages {
			print := stem + "-print.png"
			outside.Run(t, "convert", "imagemagick", page, "-flop", "-negate", print)
			got := string(outside.Run(t, "zbarimg", "zbar-tools", "--quiet", "--raw", print))
			if got, _, _ = strings.Cut(got, "\n"); got != c.Pages[i].Code { // what follows is its complaint about the bus
				t.Errorf("%q: page %d reads %q, want %q", args, i+1, got, c.Pages[i].Code)
			}
		}
	}
}

// TestChartRulersMeasure: on the page that poppler draws at 600 ppi the ends of
// both rulers of a full length are 100 mm apart, to a tenth.
func TestChartRulersMeasure(t *testing.T) {
	_, stem := chartFiles(t, "tablet", "--no-mirror", "--tablet-window", "100x25")
	const ppi = 600
	outside.Run(t, "pdftocairo", "poppler-utils", "-png", "-singlefile", "-r", fmt.Sprint(ppi), stem+".pdf", stem+"-page")
	page := greyRows(t, stem+"-page.png")
	// The outer ticks are the first and last of ink on a line through all ticks,
	// which is below the base line and above the label.
	level := ends(len(page[0]), func(x int) uint16 { return page[px(297-6-9.1+1.8, ppi)][x] }, px(31, ppi), px(134, ppi))
	upright := ends(len(page), func(y int) uint16 { return page[y][px(6+1.8, ppi)] }, px(6+9.2, ppi), px(117, ppi))
	for name, mm := range map[string]float64{"level": level * 25.4 / ppi, "upright": upright * 25.4 / ppi} {
		if mm < 99.9 || mm > 100.1 {
			t.Errorf("the %s ruler measures %.2f mm", name, mm)
		}
	}
}

func px(mm, ppi float64) int { return int(mm * ppi / 25.4) }

// ends returns how far the middles of the first and the last stretch of ink lie
// apart, in pixels.
func ends(n int, at func(int) uint16, from, to int) float64 {
	var middles []float64
	begun := -1
	for i := from; i < min(n, to); i++ {
		dark := at(i) < 32768
		if dark && begun < 0 {
			begun = i
		}
		if !dark && begun >= 0 {
			middles = append(middles, float64(begun+i)/2)
			begun = -1
		}
	}
	if len(middles) < 2 {
		return 0
	}
	return middles[len(middles)-1] - middles[0]
}
