package darkroom_test

import (
	"context"
	"flag"
	"io"
	"math"
	"testing"

	"actinic/negative/darkroom"
	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
)

var picturesFlag = flag.Int("pictures", 2, "setups of TestClosedLoopThroughPictures; the figures count from 20 on")

const patchPX = 40 // of the charts and wedges of this file, square

// wall is a grey picture of square patches in rows, each of one 16-bit value: a
// chart on film, or a picture whose tones are known.
type wall struct {
	values  []uint16
	columns int
	row     int
}

func newWall(values []uint16, columns int) *wall { return &wall{values: values, columns: columns} }

func (w *wall) rows() int { return (len(w.values) + w.columns - 1) / w.columns }

func (w *wall) Header() raster.Header {
	return raster.Header{Width: w.columns * patchPX, Height: w.rows() * patchPX, Channels: 1, Bits: 16,
		PPIX: 360, PPIY: 360, Orientation: 1, Format: "TIFF", BandRows: 1}
}

func (w *wall) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := 0
	for n < len(dst) && w.row < w.rows()*patchPX {
		for x := range w.columns * patchPX {
			at := w.row/patchPX*w.columns + x/patchPX
			dst[n][x] = w.values[min(at, len(w.values)-1)]
		}
		w.row++
		n++
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func (w *wall) Restart() error { w.row = 0; return nil }
func (w *wall) Close() error   { return nil }

// onFilm lets the darkroom read a source's rows.
type onFilm struct{ raster.Source }

func (f onFilm) Size() (width, height, channels int) {
	h := f.Header()
	return h.Width, h.Height, h.Channels
}

func (f onFilm) ReadRow(row []uint16) error {
	_, err := f.ReadRows(context.Background(), [][]uint16{row})
	return err
}

// patch reads the middle of patch k of a wall as seen on the print.
func patch(t *testing.T, p *darkroom.Picture, w *wall, k int) float64 {
	t.Helper()
	x, y := k%w.columns*patchPX, k/w.columns*patchPX
	const rim = patchPX / 5
	l, _, err := p.Read(x+rim, y+rim, patchPX-2*rim, patchPX-2*rim)
	if err != nil {
		t.Fatal(err)
	}
	return float64(l)
}

// mirroredOnFilm puts patches into the order in which film holds them, so that
// the print shows them in theirs.
func mirroredOnFilm(values []uint16, columns int) []uint16 {
	out := make([]uint16, len(values))
	for i := range values {
		row := i / columns
		out[i] = values[row*columns+columns-1-i%columns]
	}
	return out
}

// sheetOf is a sheet of paper with mottle and soft contact. It is even: to tell
// unevenness from tone needs the scattered positions of a chart.
func sheetOf(seed uint64) darkroom.Sheet {
	s := darkroom.TypicalSheet(seed)
	s.Unevenness = 0
	return s
}

// TestClosedLoopThroughPictures goes the whole way in pictures: a chart's film
// raster is printed and read, its readings fitted, a picture of known tones
// turned into a 16-bit negative by the same code as `actinic negative`, and
// that printed and read.
//
// The figures: go test ./negative/darkroom -run '^TestClosedLoopThroughPictures$' -v -pictures 24 -seed 4242
func TestClosedLoopThroughPictures(t *testing.T) {
	var shape, raw []float64
	for i := range *picturesFlag {
		seed := *seedFlag*10_000 + uint64(i)
		s := darkroom.NewSetup(seed, darkroom.Families[i%3], darkroom.RampKinds[i/3%3])
		c := calibrate(t, s, readChart(t, s, seed))
		if c == nil {
			continue
		}
		tones, errs := printPicture(t, s, c, seed)
		shape = append(shape, shapeError(tones, errs))
		raw = append(raw, rms(errs))
	}
	median, ninety := quantile(shape, 0.5), quantile(shape, 0.9)
	t.Logf("%d setups through pictures: tone error median %.3f, 90th percentile %.3f; raw median %.3f",
		len(shape), median, ninety, quantile(raw, 0.5))
	if *picturesFlag >= 20 && (median > mostMedian || ninety > mostNinety) {
		t.Errorf("tone error median %.3f, 90th percentile %.3f, want %.2f and %.2f", median, ninety, mostMedian, mostNinety)
	}
	if median > 2*mostMedian {
		t.Errorf("tone error median %.3f, far over %.2f", median, mostMedian)
	}
}

// readChart prints a ramp and the steps of a tablet, and reads the patches with
// the noise of a reading.
func readChart(t *testing.T, s *darkroom.Setup, seed uint64) calibration.Print {
	t.Helper()
	const columns = 15
	steps := tablet21()
	var inks []float64
	for range loopRepeats {
		inks = append(inks, levels(loopLevels)...)
	}
	for range steps {
		inks = append(inks, 0) // clear film under the tablet
	}
	for len(inks)%columns != 0 {
		inks = append(inks, 0)
	}
	values := make([]uint16, len(inks))
	for i, u := range inks {
		values[i] = uint16(math.Round(65535 * (1 - u/100)))
	}
	chart := newWall(mirroredOnFilm(values, columns), columns)
	sheet := sheetOf(seed)
	first := loopRepeats * loopLevels
	for i, d := range steps {
		k := first + i
		sheet.Filters = append(sheet.Filters, darkroom.Filter{X: k % columns * patchPX, Y: k / columns * patchPX,
			Width: patchPX, Height: patchPX, Density: d})
	}
	print, err := s.Expose(onFilm{chart}, sheet)
	if err != nil {
		t.Fatal(err)
	}
	rng := darkroom.Random(seed, 23)
	var ramp, tab []darkroom.Reading
	for k := range first + len(steps) {
		l := density.Lightness(patch(t, print, chart, k) + readingSD*rng.NormFloat64())
		if k < first {
			ramp = append(ramp, darkroom.Reading{ID: "p", Ink: inks[k], Lightness: l})
		} else {
			tab = append(tab, darkroom.Reading{ID: "s", Tablet: steps[k-first], Lightness: l})
		}
	}
	return calibration.Print{Ramp: table(measure.Ramp, ramp), Tablet: table(measure.Tablet, tab)}
}

// printPicture makes the negative of a picture of 101 known tones and returns
// the aim and the error of each patch of its print.
func printPicture(t *testing.T, s *darkroom.Setup, c *calibration.Calibration, seed uint64) (aims, errs []float64) {
	t.Helper()
	const tones = 101
	values := make([]uint16, tones)
	for i := range values {
		values[i] = encodeSRGB(density.Lightness(i).Reflectance())
	}
	picture := newWall(values, 17)
	k, err := c.InkCurve()
	if err != nil {
		t.Fatal(err)
	}
	film, err := tone.Negative(picture, profile.SRGB(1), k, tone.Options{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	sheet := sheetOf(seed + 1)
	sheet.Mottle = 0 // the tones themselves, not another draw of the paper
	print, err := s.Expose(onFilm{film}, sheet)
	if err != nil {
		t.Fatal(err)
	}
	for i := range tones {
		n := i * (len(c.Curve.Tone) - 1) / (tones - 1)
		aim := c.Curve.AimLstar[n]
		if at := float64(i); c.Curve.Tone[n] != at { // between two nodes
			aim += (c.Curve.AimLstar[n+1] - aim) * (at - c.Curve.Tone[n]) / (c.Curve.Tone[n+1] - c.Curve.Tone[n])
		}
		aims = append(aims, aim)
		errs = append(errs, patch(t, print, picture, i)-aim)
	}
	return aims, errs
}

// encodeSRGB is the 16-bit sRGB code of a luminance (IEC 61966-2-1:1999).
func encodeSRGB(y density.Reflectance) uint16 {
	v := 12.92 * float64(y)
	if y > 0.0031308 {
		v = 1.055*math.Pow(float64(y), 1/2.4) - 0.055
	}
	return uint16(math.Round(65535 * v))
}
