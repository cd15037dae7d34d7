package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"actinic/negative/handout"
	"actinic/negative/sheet"
	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/process/recipe"

	"github.com/spf13/cobra"
)

// handoutOptions are the flags of 'sheet' for the pages that lie beside the tray.
type handoutOptions struct {
	handout      bool
	handoutPaper paperFlag
}

const sheetHandoutLong = `With --handout it also writes FILE-handouts.pdf, on office paper: with --roster a
handout for each person and process, else one for each process. It has the print
to expect, the exposure to start from, the steps, what to measure out, what to
watch for, and the hazards of every chemical in words. Films that are made already
show their print and exposure only with the --calibration that they were made with;
without one the exposure is the usual range of the process. Charts have none.
With --json there are "handouts": {"output", "paper", "pages", "of": [{"person",
"process", "calibration", "page", "pages"}]}, too.`

// addHandout adds the flags of handouts.
func (o *sheetOptions) addHandout(cmd *cobra.Command) {
	o.handoutPaper = "A4"
	flags := cmd.Flags()
	flags.BoolVar(&o.handout, "handout", false, "write FILE-handouts.pdf, too: exposure, steps, quantities and hazards for each person or process")
	flags.Var(&o.handoutPaper, "handout-paper", "handouts on `PAPER`: "+strings.Join(handout.PaperNames(), " or "))
	cmd.Long += "\n\n" + sheetHandoutLong
}

// paperFlag is a flag that takes a size of office paper.
type paperFlag string

func (f *paperFlag) Set(text string) error {
	paper, err := handout.ParsePaper(text)
	if err != nil {
		return fmt.Errorf("expected %s", strings.Join(handout.PaperNames(), " or "))
	}
	*f = paperFlag(paper.Name)
	return nil
}
func (f *paperFlag) String() string { return string(*f) }
func (f *paperFlag) Type() string   { return "PAPER" }

// checkHandout refuses flags that do not go together.
func (o *sheetOptions) checkHandout(cmd *cobra.Command) error {
	switch {
	case !o.handout && cmd.Flag("handout-paper").Changed:
		return &usageError{where: "--handout-paper", what: "it is for handouts", hint: "add --handout"}
	case o.handout && o.out == standardStream:
		return &usageError{where: "--handout", what: "handouts are a file beside the sheet's", hint: "write the sheet to FILE.pdf"}
	case o.handout && slices.Contains(o.calibrations, standardStream):
		return &usageError{where: "--calibration", what: "with --handout it is read twice", hint: "name the file"}
	}
	return nil
}

// handouts are all that are written in one go.
type handouts struct {
	Output string      `json:"output"`
	Paper  string      `json:"paper"`
	Pages  int         `json:"pages"`
	Of     []handedOut `json:"of"`

	all  []handout.Handout
	opts handout.Options
}

// handedOut is where one handout lies.
type handedOut struct {
	Person      string `json:"person"`
	Process     string `json:"process"`
	Calibration string `json:"calibration"`
	Page        int    `json:"page"`
	Pages       int    `json:"pages"`
}

// sheetHandouts makes handouts of finished films; nil where none are asked for.
func (a *app) sheetHandouts(ctx context.Context, o *sheetOptions, pages []sheet.Page, opts sheet.Options) (*handouts, error) {
	if !o.handout {
		return nil, nil
	}
	var data *calibration.Calibration
	if o.calibration != "" {
		var err error
		if data, err = a.readCalibration(o.calibration); err != nil {
			return nil, err
		}
	}
	return a.newHandouts(ctx, o, opts, placedFilms(pages, opts, data, baseOf(o.calibration)))
}

// newHandouts makes handouts of films, in their order; nil where none are asked for.
func (a *app) newHandouts(ctx context.Context, o *sheetOptions, opts sheet.Options, films []handedFilm) (*handouts, error) {
	if !o.handout {
		return nil, nil
	}
	paper, err := handout.ParsePaper(string(o.handoutPaper))
	if err != nil {
		return nil, err
	}
	h := &handouts{Output: besidePDF(o.out, "-handouts.pdf"), Paper: paper.Name, Of: []handedOut{},
		opts: handout.Options{Paper: paper, Date: opts.Date}}
	if o.roster != "" {
		h.opts.Title = opts.Title
	}
	groups, err := groupHanded(films, o.process)
	if err != nil {
		return nil, err
	}
	prints := &printsToExpect{app: a, made: map[string][]byte{}}
	for _, g := range groups {
		if err := h.add(ctx, prints, g); err != nil {
			return nil, err
		}
	}
	return h, nil
}

// add makes the handout of one group.
func (h *handouts) add(ctx context.Context, prints *printsToExpect, g handedGroup) error {
	films, err := prints.films(ctx, g.films)
	if err != nil {
		return err
	}
	one, err := handout.New(g.person, g.card, films, handout.ExposureOf(g.films[0].data, g.card))
	h.all = append(h.all, one)
	h.Of = append(h.Of, handedOut{Person: g.person, Process: g.card.Name, Calibration: g.films[0].calibration})
	return err
}

// job is the output; without handouts it has no name.
func (h *handouts) job() job {
	if h == nil {
		return job{}
	}
	return job{h.Output, binaryContent, func(w io.Writer) error {
		placed, err := handout.Write(w, h.all, h.opts)
		h.Pages = 0
		for i, p := range placed {
			h.Of[i].Page, h.Of[i].Pages = p.Page, p.Pages
			h.Pages += p.Pages
		}
		return err
	}}
}

// text is the line that says what was written.
func (h *handouts) text() string {
	if h == nil {
		return ""
	}
	return fmt.Sprintf("%s: handouts: %d, pages of %s: %d.\n", h.Output, len(h.Of), h.Paper, h.Pages)
}

// handedGroup is what one handout is for.
type handedGroup struct {
	person string
	card   recipe.Card
	films  []handedFilm
}

// groupHanded sorts films by person, process and calibration, in the order in
// which these first come up. Films of no known process are told all at once.
func groupHanded(films []handedFilm, process string) ([]handedGroup, error) {
	var groups []handedGroup
	var unknown []string
	for _, f := range films {
		card, known := cardOf(cmp.Or(f.process, process))
		if !known {
			unknown = append(unknown, f.name)
			continue
		}
		i := slices.IndexFunc(groups, func(g handedGroup) bool {
			return g.person == f.person && g.card.ID == card.ID && g.films[0].data == f.data
		})
		if i < 0 {
			i, groups = len(groups), append(groups, handedGroup{person: f.person, card: card})
		}
		groups[i].films = append(groups[i].films, f)
	}
	switch {
	case len(unknown) > 0:
		return nil, fault.New("", "--handout", "no process card for "+strings.Join(unique(unknown), ", "),
			"add --process with the process of films that do not say it; 'actinic process list' shows all cards")
	case len(groups) == 0:
		return nil, fault.New("", "--handout", "there are only charts on these sheets", "leave it out, or place negatives")
	}
	return groups, nil
}
