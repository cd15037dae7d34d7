package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"actinic/negative/class"
	"actinic/negative/sheet"
	"actinic/process/measure/delimited"

	"github.com/spf13/cobra"
)

// rosterOptions are the flags of 'sheet' for a class set, and the calibrations,
// of which it may take several.
type rosterOptions struct {
	roster       string
	pictures     string
	calibrations []string
	ppi          float64
	fit          fitFlag
}

const sheetRosterLong = `With --roster it makes the negatives first: a table with a row for each person
and picture, columns name, picture, process or calibration, size and, if
wanted, copies. Pictures lie in the folder of the roster or in that of
--pictures; a calibration is a file beside the roster, and for a process the
--calibration whose setup names it. A size of two sides is turned to the way
that the picture lies. Everything that is wrong with the roster is told at once,
and then nothing is written. Each negative is labelled with its person, in any
script, and FILE-map.csv says on which sheet it lies and where. IN, charts say,
go first. With --json there are "map", its file, and "places": [{"person",
"picture", "process", "calibration", "width_mm", "height_mm", "page", "x_mm",
"y_mm", "turned"}], too.`

// addRoster adds the flags of a class set, and what the help says of them.
func (o *sheetOptions) addRoster(cmd *cobra.Command) {
	cmd.Long += "\n\n" + sheetRosterLong
	cmd.Example += "\n  actinic sheet --roster class.csv --calibration blue.calibration.json --calibration brown.calibration.json --film A3+ -o class.pdf"
	o.fit = "inside"
	flags := cmd.Flags()
	flags.StringArrayVar(&o.calibrations, "calibration", nil, "the calibration that the films were made with, file `C`; with --roster those that they are to be made with, one for each process")
	flags.StringVar(&o.roster, "roster", "", "make the negatives of a class from the table `FILE.csv`")
	flags.StringVar(&o.pictures, "pictures", "", "the roster's pictures are in the folder `DIR`")
	flags.Float64Var(&o.ppi, "ppi", 0, "make the roster's films at `PPI` (default as the chart, else 360)")
	flags.Var(&o.fit, "fit", "where a picture of the roster has not the shape of its size, `FIT` is inside, crop or pad")
}

// checkArgs wants a film to place, or a roster.
func (o *sheetOptions) checkArgs(cmd *cobra.Command, args []string) error {
	if o.roster != "" {
		return nil
	}
	return atLeastOne("IN")(cmd, args)
}

// checkRoster refuses flags that need a roster without one, and the other way
// round. It settles the one calibration of films that are made already.
func (o *sheetOptions) checkRoster() error {
	if o.roster == "" {
		switch {
		case len(o.calibrations) > 1:
			return &usageError{where: "--calibration", what: "films that are made already have one", hint: "several are for --roster"}
		case o.pictures != "" || o.ppi != 0 || o.fit != "inside":
			return &usageError{where: "--roster", what: "--pictures, --ppi and --fit are for negatives that are made here", hint: "add --roster class.csv"}
		case len(o.calibrations) == 1:
			o.calibration = o.calibrations[0]
		}
		return nil
	}
	return (&pictureOptions{ppi: o.ppi}).check()
}

// sheetRoster makes a class set.
func (a *app) sheetRoster(ctx context.Context, cmd *cobra.Command, args []string, o sheetOptions) error {
	set, err := a.planClass(cmd, &o)
	if err != nil {
		return err
	}
	if err := set.layOut(a, &o, args); err != nil {
		return err
	}
	inputs := append(append(slices.Clone(args), o.roster), set.inputs...)
	places := job{besidePDF(o.out, "-map.csv"), textContent, func(w io.Writer) error { return class.WriteMap(w, set.places) }}
	if set.handouts, err = a.newHandouts(ctx, &o, set.opts, set.handed()); err != nil {
		return err
	}
	if err := a.writeOutputs(inputs, pdfJob(ctx, o.out, set.pages, set.opts), places, set.handouts.job()); err != nil {
		return err
	}
	return a.printClass(&o, set)
}

// besidePDF names a file that goes with FILE.pdf; "" where that is standard output.
func besidePDF(out, ending string) string {
	if out == standardStream {
		return ""
	}
	return out[:len(out)-len(".pdf")] + ending
}

// classSet is a class set on its way.
type classSet struct {
	negatives []class.Negative
	notices   []string
	problems  []error  // of rows that make no negative
	inputs    []string // besides films and roster
	pages     []sheet.Page
	opts      sheet.Options
	places    []class.Place
	kinds     *classKinds
	handouts  *handouts // nil: none
}

// planClass reads the roster and plans its negatives. What is wrong with some rows
// is kept until it is known which negatives the film takes; what is wrong with all
// comes back as one error.
func (a *app) planClass(cmd *cobra.Command, o *sheetOptions) (*classSet, error) {
	in, err := a.openInput(o.roster)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	text, err := delimited.Load(in, inputName(o.roster))
	if err != nil {
		return nil, err
	}
	rows, problems, err := class.Read(text, o.rosterSize, o.size.String())
	if err != nil {
		return nil, err
	}
	kinds := &classKinds{app: a, o: o, mirrorSaid: cmd.Flag("no-mirror").Changed, folder: filepath.Dir(o.roster), files: map[string]*calibrated{}}
	if err := kinds.readAll(); err != nil {
		return nil, err
	}
	set := &classSet{kinds: kinds}
	var more []error
	set.negatives, set.notices, more = class.Plan(rows, class.Options{Folder: cmp.Or(o.pictures, kinds.folder), KindOf: kinds.of})
	if set.problems = append(problems, more...); len(set.negatives) == 0 {
		return nil, &allFailedError{inOrder(set.problems)}
	}
	set.notices = append(kinds.notices, set.notices...)
	set.inputs = kinds.inputs()
	for _, n := range set.negatives {
		set.inputs = append(set.inputs, filepath.Join(cmp.Or(o.pictures, kinds.folder), n.Row.Picture))
	}
	return set, nil
}

// rosterSize reads a size as --size of 'negative' does, without pixels.
func (o *sheetOptions) rosterSize(text string) (widthMM, heightMM float64, err error) {
	var f printSizeFlag
	if err := f.Set(text); err != nil || f.widthPX > 0 {
		return 0, 0, errRosterSize
	}
	return f.widthMM, f.heightMM, nil
}

var errRosterSize = errors.New("expected WIDTHxHEIGHT with a unit, as in 203x254mm, 20.3x25.4cm or 8x10in, or one side, as in 203mm or x254mm, from 5 to 5080 mm a side")

// layOut places what was there already, then the negatives.
func (set *classSet) layOut(a *app, o *sheetOptions, args []string) error {
	ready := *o
	ready.size, ready.calibration = sizeFlag{}, ""
	placing, process, err := a.placing(&ready)
	if err != nil {
		return err
	}
	items, films, err := ready.place(placing, args)
	if err != nil {
		return err
	}
	first := len(items)
	for i := range set.negatives {
		items, films = append(items, set.negatives[i].Item), append(films, set.negatives[i].About())
	}
	// The sides of all together are looked at below.
	opts, err := a.sheetOptions(o, films[:1], process)
	if err != nil {
		return err
	}
	sides := make([]sheet.Side, len(films))
	for i, f := range films {
		sides[i] = sheet.Side{InkUp: f.NotMirrored, Caution: cautionOf(films[i:i+1], process)}
	}
	opts.Caution = cautionOf(films, process) // the general one where they differ
	opts.Title = strings.TrimSuffix(baseOf(o.roster), filepath.Ext(o.roster))
	if err := set.refuse(sheet.Misfits(items, sides, opts), first); err != nil {
		return err
	}
	if set.pages, set.opts, err = sheet.LayoutSides(items, sides, opts); err != nil {
		return err
	}
	set.places = class.Map(set.negatives, first, set.pages)
	return nil
}

// refuse returns all that is wrong with the class set as one error, once for each
// row; items before the first of its negatives are films that were there already.
func (set *classSet) refuse(misfits []sheet.Misfit, first int) error {
	problems := set.problems
	told := map[int]bool{}
	for _, m := range misfits {
		if m.Index < first {
			problems = append(problems, m.Err)
			continue
		}
		n := &set.negatives[m.Index-first]
		if !told[n.Row.Line] {
			told[n.Row.Line] = true
			problems = append(problems, n.Fault(m.Err))
		}
	}
	if len(problems) == 0 {
		return nil
	}
	return &allFailedError{inOrder(problems)}
}

// classed is what a class set prints with --json.
type classed struct {
	sheeted
	Map    string        `json:"map"`
	Places []class.Place `json:"places"`
}

// printClass says what was written.
func (a *app) printClass(o *sheetOptions, set *classSet) error {
	for _, p := range set.pages {
		set.notices = append(set.notices, p.Notices...)
	}
	for _, n := range set.notices {
		a.notice("%s", n)
	}
	if o.out == standardStream {
		return nil
	}
	result := classed{sheetedOf(o.out, set.pages, set.opts), besidePDF(o.out, "-map.csv"), set.places}
	result.Notices, result.Handouts = append([]string{}, set.notices...), set.handouts
	return a.print(result, func(w io.Writer) error { return writePlaces(w, &result) })
}

// writePlaces says what was written in the words of other sheets, then who is
// where.
func writePlaces(w io.Writer, r *classed) error {
	sheets := r.sheeted
	sheets.Handouts = nil // at the end
	if err := sheetedText(w, sheets, nil); err != nil {
		return err
	}
	var b strings.Builder
	for _, p := range r.Places {
		size := fmt.Sprintf("%.0f x %.0f mm", p.WidthMM, p.HeightMM)
		fmt.Fprintf(&b, "sheet %d: %s\n", p.Page, oneLine(strings.Join([]string{p.Person, p.Picture, p.Process, size}, ", ")))
	}
	fmt.Fprintf(&b, "%s: the same with places in millimetres.\n%s", r.Map, r.Handouts.text())
	_, err := io.WriteString(w, b.String())
	return err
}
