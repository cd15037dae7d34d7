package main

import (
	"bytes"
	"context"
	"fmt"
	"slices"

	"actinic/negative/batch"
	"actinic/negative/class"
	"actinic/negative/handout"
	"actinic/negative/proof"
	"actinic/negative/raster"
	"actinic/negative/sheet"
	"actinic/negative/tone"
	"actinic/process/calibration"
	"actinic/process/fault"
)

// handedFilm is a film on a sheet, as far as a handout needs it.
type handedFilm struct {
	person, name, process, calibration string
	widthMM, heightMM                  float64
	sheet                              int
	data                               *calibration.Calibration // nil where it is not known
	// Of a film to be made, picture is its file and how its options; else open
	// opens the film, which may be mirrored.
	picture  string
	how      tone.Options
	open     func() (raster.Source, error)
	mirrored bool
}

// placedFilms returns the films of pages in the order in which they were given,
// without charts. c, of the name, is the calibration of those that say so.
func placedFilms(pages []sheet.Page, opts sheet.Options, c *calibration.Calibration, name string) []handedFilm {
	var indexes []int
	var films []handedFilm
	for _, page := range pages {
		for _, p := range page.Placements {
			if p.Item.Chart {
				continue
			}
			it := p.Item
			f := handedFilm{person: it.Person, name: it.Label.Name, process: it.Label.Process, calibration: it.Label.Calibration,
				widthMM: it.WidthMM, heightMM: it.HeightMM, sheet: page.Number, open: it.Open, mirrored: !opts.InkUp}
			if c != nil && it.Label.Calibration == name {
				f.data = c
			}
			at, _ := slices.BinarySearch(indexes, p.Index)
			indexes, films = slices.Insert(indexes, at, p.Index), slices.Insert(films, at, f)
		}
	}
	return films
}

// handed returns the films of a class set.
func (set *classSet) handed() []handedFilm {
	films := make([]handedFilm, len(set.negatives))
	pictures := set.inputs[len(set.inputs)-len(films):]
	for i, n := range set.negatives {
		about := n.About()
		how := n.Kind.Recipe.Tone
		how.WidthMM, how.HeightMM = n.Item.WidthMM, n.Item.HeightMM
		films[i] = handedFilm{person: n.Row.Person, name: about.Name, process: about.Process, calibration: about.Calibration,
			widthMM: n.Item.WidthMM, heightMM: n.Item.HeightMM, sheet: set.places[i].Page,
			data: set.kinds.dataOf(n.Kind), picture: pictures[i], how: how}
	}
	return films
}

// dataOf returns the calibration of a kind.
func (k *classKinds) dataOf(kind *class.Kind) *calibration.Calibration {
	for _, c := range k.files {
		if c.kind == kind {
			return c.data
		}
	}
	return nil
}

// printsToExpect makes small proofs, each once.
type printsToExpect struct {
	app  *app
	made map[string][]byte
}

// films returns the films of one handout, copies of one picture together.
func (p *printsToExpect) films(ctx context.Context, handed []handedFilm) ([]handout.Film, error) {
	var films []handout.Film
	for i := range handed {
		f := &handed[i]
		picture, err := p.of(ctx, f)
		if err != nil {
			return nil, err
		}
		// Names may be the same in two folders. Of a finished film the picture is
		// not known, only what it prints.
		same := slices.IndexFunc(films, func(o handout.Film) bool {
			return o.Name == f.name && o.WidthMM == f.widthMM && o.HeightMM == f.heightMM && picture != nil && bytes.Equal(o.Print, picture)
		})
		if same < 0 {
			same, films = len(films), append(films, handout.Film{Name: f.name, WidthMM: f.widthMM, HeightMM: f.heightMM, Print: picture})
		}
		films[same].Copies++
		if at, found := slices.BinarySearch(films[same].Sheets, f.sheet); !found {
			films[same].Sheets = slices.Insert(films[same].Sheets, at, f.sheet)
		}
	}
	return films, nil
}

// of returns the print to expect of a film; nil where its calibration is not
// known.
func (p *printsToExpect) of(ctx context.Context, f *handedFilm) ([]byte, error) {
	if f.data == nil {
		return nil, nil
	}
	key := fmt.Sprintf("%p %s %g %g", f.data, f.picture, f.widthMM, f.heightMM)
	if done, ok := p.made[key]; ok && f.picture != "" {
		return done, nil
	}
	one, src, err := p.proof(f)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	defer one.Close()
	p.made[key], err = handout.Print(ctx, one)
	return p.made[key], err
}

func (p *printsToExpect) proof(f *handedFilm) (*proof.Proof, raster.Source, error) {
	k, err := f.data.InkCurve()
	if err != nil {
		return nil, nil, err
	}
	how := proof.Options{LongestPX: handout.PrintPX, Hue: hueOf(f.data), Jobs: p.app.global.jobs}
	open := f.open
	if f.picture != "" {
		open = func() (raster.Source, error) { return raster.Open(f.picture) }
	}
	src, err := open()
	if err != nil {
		return nil, nil, err
	}
	var one *proof.Proof
	if f.picture == "" {
		one, err = proof.FromFilm(src, k, f.mirrored, how)
	} else if lum, wrong := batch.LuminanceOf(f.picture, src.Header()); wrong != nil {
		err = wrong
	} else {
		one, err = proof.FromPicture(src, lum, k, f.how, how)
	}
	if err != nil {
		src.Close()
		return nil, nil, fault.InFile(err, f.name)
	}
	return one, src, nil
}
