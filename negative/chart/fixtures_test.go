package chart

import (
	"context"
	"io"
	"testing"
	"time"

	"actinic/negative/raster"
	"actinic/process/sensitometry"
)

// films are the sheets that charts are made for. A sizes: ISO 216:2007; inch
// sizes are inches times 25.4, exact since 1959; A3+: common practice.
var films = []struct {
	name string
	w, h float64
}{
	{"A5", 148, 210}, {"A4", 210, 297}, {"A3", 297, 420}, {"A3+", 329, 483},
	{"letter", 215.9, 279.4}, {"legal", 215.9, 355.6}, {"tabloid", 279.4, 431.8},
	{"4x5", 101.6, 127}, {"5x7", 127, 177.8}, {"8x10", 203.2, 254}, {"11x14", 279.4, 355.6},
	{"4x5 lying", 127, 101.6}, {"A4 lying", 297, 210}, {"A3+ lying", 483, 329}, {"square", 200, 200},
}

func sheetOf(w, h float64) Sheet {
	return Sheet{WidthMM: w, HeightMM: h, MarginMM: 6, PPI: 360, Mirrored: true, Seed: 7, Made: time.Unix(1767225600, 0).UTC()}
}

// steps is a series of nine exposures, by hand.
func steps() []sensitometry.Exposure {
	var all []sensitometry.Exposure
	for _, seconds := range []float64{120, 170, 240, 340, 480, 680, 960, 1365, 1920} {
		all = append(all, sensitometry.Exposure{Amount: seconds, Unit: sensitometry.Seconds})
	}
	return all
}

// makers make a chart of each kind.
var makers = map[string]func(s Sheet) (*Chart, error){
	"ramp":     func(s Sheet) (*Chart, error) { return NewRamp(RampOptions{Sheet: s, Levels: 41, Repeats: 2}) },
	"colours":  func(s Sheet) (*Chart, error) { return NewColours(ColoursOptions{Sheet: s, Patches: 200}) },
	"tablet":   NewTablet,
	"check":    func(s Sheet) (*Chart, error) { return NewCheck(CheckOptions{Sheet: s}) },
	"exposure": func(s Sheet) (*Chart, error) { return NewExposure(ExposureOptions{Sheet: s, Steps: steps()}) },
}

func must(t testing.TB, c *Chart, err error) *Chart {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// drawn returns all rows of a page.
func drawn(t testing.TB, c *Chart, page int) [][]uint16 {
	t.Helper()
	src := Draw(c, page)
	all := raster.NewBand(src.Header(), src.Header().Height)
	for at := 0; at < len(all); {
		n, err := src.ReadRows(context.Background(), all[at:min(at+100, len(all))])
		if err != nil {
			t.Fatal(err)
		}
		at += n
	}
	if _, err := src.ReadRows(context.Background(), all[:1]); err != io.EOF {
		t.Fatalf("after the last row: %v, want io.EOF", err)
	}
	return all
}
