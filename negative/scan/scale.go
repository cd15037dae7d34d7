package scan

import (
	"fmt"
	"io"
	"math"

	"actinic/negative/chart"
	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure/delimited"
)

// GreyScale is a grey scale of known densities that lay beside the print, or on
// it, in the same scan.
type GreyScale struct {
	File    string // for messages
	Patches []ScalePatch
	// Strip is where the patches lie when the file does not place them: equal
	// patches along the longer side of a rectangle in scan pixels. Nil when they
	// have places.
	Strip *ScanRect
}

// ScalePatch is one patch of a grey scale.
type ScalePatch struct {
	ID      string
	Density density.Density
	// Area is where it lies on the page; nil for a scale in a Strip.
	Area *chart.Rect
}

// ScanRect is a rectangle in scan pixels.
type ScanRect struct{ X, Y, Width, Height float64 }

// A grey scale needs this many patches for flare and tone to be told apart; more
// than the most is no scale. Working values of ours.
const (
	leastScale = 4
	mostScale  = 500
)

// Columns of a scale file.
const (
	colPatch   = "patch"
	colDensity = "print_density"
	colLstar   = "print_lstar"
)

var placeColumns = []string{"x_mm", "y_mm", "width_mm", "height_mm"}

// ReadScale reads a grey scale: columns patch and print_density or print_lstar,
// and, where the patches lie on the page, x_mm and y_mm (middles), width_mm and
// height_mm. Every error is a *fault.Error with line and column.
func ReadScale(r io.Reader, file string) (*GreyScale, error) {
	text, err := delimited.Load(r, file)
	if err != nil {
		return nil, err
	}
	t, err := text.Table()
	if err != nil {
		return nil, err
	}
	if err := checkScaleHeader(t); err != nil {
		return nil, err
	}
	s := &GreyScale{File: file}
	for _, row := range t.Rows {
		p, err := scalePatch(t, row)
		if err != nil {
			return nil, err
		}
		s.Patches = append(s.Patches, p)
	}
	return s, s.check()
}

func checkScaleHeader(t *delimited.Table) error {
	known := append([]string{colPatch, colDensity, colLstar}, placeColumns...)
	if err := t.CheckColumns(known); err != nil {
		return err
	}
	if (t.Column(colDensity) < 0) == (t.Column(colLstar) < 0) {
		return t.Fault(t.HeaderLine, "", "expected exactly one of the columns print_density and print_lstar", "give the grey scale's own values")
	}
	if t.Column(colPatch) < 0 {
		return t.Fault(t.HeaderLine, "", "no column patch, expected the names of the patches", "")
	}
	n := 0
	for _, name := range placeColumns {
		if t.Column(name) >= 0 {
			n++
		}
	}
	if n != 0 && n != len(placeColumns) {
		return t.Fault(t.HeaderLine, "", fmt.Sprintf("expected all of the columns %v or none", placeColumns), "")
	}
	return nil
}

func scalePatch(t *delimited.Table, row delimited.Row) (ScalePatch, error) {
	p := ScalePatch{ID: row.Cells[t.Column(colPatch)]}
	if i := t.Column(colDensity); i >= 0 {
		v, err := bounded(t, row, i, "a print density, 0 to 4", 0, 4)
		if err != nil {
			return p, err
		}
		p.Density = density.Density(v)
	} else {
		v, err := bounded(t, row, t.Column(colLstar), "L*, above 0 to 100", 0.1, 100)
		if err != nil {
			return p, err
		}
		p.Density = density.Lightness(v).Density()
	}
	if t.Column(placeColumns[0]) < 0 {
		return p, nil
	}
	return p, placeScalePatch(t, row, &p)
}

func placeScalePatch(t *delimited.Table, row delimited.Row, p *ScalePatch) error {
	var v [4]float64
	for i, name := range placeColumns {
		least, want := -2000.0, "millimetres on the page"
		if i >= 2 {
			least, want = 1, "a size of 1 mm or more"
		}
		var err error
		if v[i], err = bounded(t, row, t.Column(name), want, least, 2000); err != nil {
			return err
		}
	}
	p.Area = &chart.Rect{XMM: v[0] - v[2]/2, YMM: v[1] - v[3]/2, WidthMM: v[2], HeightMM: v[3]}
	return nil
}

func bounded(t *delimited.Table, row delimited.Row, col int, want string, low, high float64) (float64, error) {
	v, err := t.Number(row, col, want)
	if err != nil {
		return 0, err
	}
	if !(v >= low && v <= high) {
		return 0, t.Fault(row.Line, t.Header[col], fmt.Sprintf("found %s, expected %s", row.Cells[col], want), "")
	}
	return v, nil
}

// check wants enough patches, each density once.
func (s *GreyScale) check() error {
	if n := len(s.Patches); n < leastScale || n > mostScale {
		return fault.New(s.File, "", fmt.Sprintf("%d patches, expected a grey scale of %d to %d", n, leastScale, mostScale), "")
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range s.Patches {
		low, high = min(low, float64(p.Density)), max(high, float64(p.Density))
	}
	if high-low < 0.5 {
		return fault.New(s.File, "", fmt.Sprintf("densities from %.2f to %.2f, expected a grey scale that goes from white to black", low, high), "")
	}
	return nil
}

// Placed reports whether the file says where the patches lie on the page.
func (s *GreyScale) Placed() bool { return s.Patches[0].Area != nil }
