package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"actinic/negative/batch"
	"actinic/negative/class"
	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/process/recipe"
)

// classKinds finds for each row of a roster how its negative is made.
type classKinds struct {
	app        *app
	o          *sheetOptions
	mirrorSaid bool
	folder     string // of the roster
	files      map[string]*calibrated
	notices    []string
}

// calibrated is a calibration with what is made of it; or why that fails.
type calibrated struct {
	file    string
	process string // as its setup says
	data    *calibration.Calibration
	kind    *class.Kind
	err     error
}

// readAll reads the calibrations that flags name. One that can't be read ends
// the command: it is no fault of the roster.
func (k *classKinds) readAll() error {
	for _, name := range k.o.calibrations {
		if c := k.read(name); c.err != nil {
			return c.err
		}
	}
	return nil
}

// inputs are the calibrations read.
func (k *classKinds) inputs() []string {
	var names []string
	for name := range k.files {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// read reads a calibration once.
func (k *classKinds) read(name string) *calibrated {
	if c, ok := k.files[name]; ok {
		return c
	}
	c := &calibrated{file: name}
	k.files[name] = c
	var data *calibration.Calibration
	if data, c.err = k.app.readCalibration(name); c.err != nil {
		return c
	}
	c.process, c.data = data.Setup.Process, data
	c.kind, c.err = k.kind(name, data)
	return c
}

// kind is how negatives are made with a calibration: like those of 'negative',
// with what surrounds them left to the sheet.
func (k *classKinds) kind(name string, data *calibration.Calibration) (*class.Kind, error) {
	o := negativeOptions{calibration: name, depth: k.o.depth, noMirror: k.o.noMirror, mirrorSaid: k.mirrorSaid,
		pictureOptions: pictureOptions{ppi: k.o.ppi, fit: k.o.fit}}
	recipe, notices, err := k.app.filmRecipe(&o, data)
	if err != nil {
		return nil, err
	}
	k.notices = append(k.notices, notices...)
	recipe.Tone.PPI = cmp.Or(recipe.Tone.PPI, data.Setup.Printing.PPI)
	kind := &class.Kind{Recipe: recipe, Marks: k.o.marks, Edge: k.o.sheetEdge()}
	curve, err := data.InkCurve()
	if err != nil {
		return nil, err
	}
	kind.Edge.Device = curve.Device(100)
	if k.o.strip {
		kind.Strip = batch.StripOf(curve)
	}
	return kind, nil
}

// of returns the kind of a row.
func (k *classKinds) of(r class.Row) (*class.Kind, error) {
	if r.Calibration == "" {
		return k.ofProcess(r)
	}
	c := k.read(filepath.Join(k.folder, r.Calibration))
	if c.err != nil {
		return nil, c.err
	}
	if r.Process != "" && !sameProcess(r.Process, c.process) {
		return nil, fault.New("", "", fmt.Sprintf("process %s, and %s is a calibration of %s", r.Process, r.Calibration, cmp.Or(c.process, "no process that it names")),
			"leave one of the two empty")
	}
	return c.kind, nil
}

// ofProcess returns the kind of the one calibration that a row's process has.
func (k *classKinds) ofProcess(r class.Row) (*class.Kind, error) {
	var fit []*calibrated
	for _, name := range unique(k.o.calibrations) {
		if c := k.files[name]; r.Process == "" || sameProcess(r.Process, c.process) {
			fit = append(fit, c)
		}
	}
	switch {
	case len(fit) == 1:
		return fit[0].kind, nil
	case len(fit) > 1:
		return nil, fault.New("", "", fmt.Sprintf("%s and %s both fit", fit[0].file, fit[1].file), "name the one that is meant in the column calibration")
	case r.Process == "":
		return nil, fault.New("", "", "neither a process nor a calibration", "fill the column process or calibration, or give one --calibration for all")
	}
	if _, err := recipe.Find(r.Process); err != nil {
		return nil, err
	}
	return nil, fault.New("", "", fmt.Sprintf("no calibration for process %s", r.Process), "add --calibration with the calibration of that process")
}

func unique(names []string) []string { return slices.Compact(slices.Sorted(slices.Values(names))) }

// sameProcess reports whether a roster's name means the process of a calibration:
// by its card, as the beginning of one of its names, or by the same words where
// there is no card.
func sameProcess(name, process string) bool {
	card, known := cardOf(process)
	if named, ok := cardOf(name); ok && known {
		return named.ID == card.ID
	}
	for _, other := range append([]string{process, card.ID, card.Name}, card.Aliases...) {
		if begins(other, name) {
			return true
		}
	}
	return false
}

// begins compares letters and digits only, in any case.
func begins(text, start string) bool {
	plain := func(s string) string {
		return strings.Map(func(r rune) rune {
			if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
				return -1
			}
			return unicode.ToLower(r)
		}, s)
	}
	return plain(start) != "" && strings.HasPrefix(plain(text), plain(start))
}

var linePattern = regexp.MustCompile(`^line (\d+)`)

// inOrder sorts problems by their lines.
func inOrder(problems []error) []error {
	line := func(err error) int {
		m := linePattern.FindStringSubmatch(explain(err).Where)
		if m == nil {
			return 0
		}
		n, _ := strconv.Atoi(m[1])
		return n
	}
	slices.SortStableFunc(problems, func(a, b error) int { return cmp.Compare(line(a), line(b)) })
	return problems
}
