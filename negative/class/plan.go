package class

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/raster"
	"actinic/negative/sheet"
	"actinic/process/fault"
)

// Kind is how the negatives of one calibration are made and placed.
type Kind struct {
	Recipe *batch.Recipe // its size is that of each row
	Edge   sheet.Edge
	Marks  bool
	Strip  *sheet.Strip // nil: none
}

// Options say where a roster's pictures are, and how rows become negatives.
type Options struct {
	Folder string // of the pictures
	// KindOf returns how the negative of a row is made. It fails with *fault.Error
	// where there is no calibration for it.
	KindOf func(Row) (*Kind, error)
}

// Negative is one negative of a class set.
type Negative struct {
	Row  Row
	Kind *Kind
	Item sheet.Item
}

// About is what the negative says of itself.
func (n *Negative) About() batch.Description {
	about := n.Kind.Recipe.About
	about.Name = filepath.Base(n.Row.Picture)
	return about
}

// Fault puts an error about the negative at its line of the roster.
func (n *Negative) Fault(err error) error { return inRow(err, n.Row) }

// Plan turns rows into negatives, copies one after the other. Notices are what
// the user should know of the films. Problems are all rows that cannot become
// one, each a *fault.Error with its line, but for what Read has told of them.
func Plan(rows []Row, o Options) (all []Negative, notices []string, problems []error) {
	p := planner{o: o, seen: map[film]planned{}, told: map[string]bool{}}
	for _, r := range rows {
		n, wrong := p.negative(r)
		problems = append(problems, wrong...)
		if len(wrong) > 0 || r.faulty {
			continue
		}
		for range r.Copies {
			all = append(all, n)
		}
	}
	return all, p.notices, problems
}

// planner remembers films that several rows ask for.
type planner struct {
	o       Options
	seen    map[film]planned
	told    map[string]bool
	notices []string
}

// film is what decides a film.
type film struct {
	kind              *Kind
	picture           string
	widthMM, heightMM float64
}

type planned struct {
	recipe            *batch.Recipe
	widthMM, heightMM float64
	err               error
}

// negative plans the negative of one row, or says all that is wrong with it and
// was not told when the roster was read.
func (p *planner) negative(r Row) (n Negative, wrong []error) {
	path := filepath.Join(p.o.Folder, r.Picture)
	if err := p.unreadable(r, path); err != nil {
		wrong = append(wrong, err)
	}
	var kind *Kind
	if !r.noCalibration {
		var err error
		if kind, err = p.o.KindOf(r); err != nil {
			wrong = append(wrong, inRow(err, r))
		}
	}
	if len(wrong) > 0 || r.faulty {
		return n, wrong
	}
	f := p.film(film{kind, path, r.WidthMM, r.HeightMM})
	if f.err != nil {
		return n, []error{inRow(f.err, r)}
	}
	n = Negative{Row: r, Kind: kind}
	n.Item = f.item(path, &n)
	return n, nil
}

// item is what a sheet places.
func (f planned) item(path string, n *Negative) sheet.Item {
	about := n.About()
	return sheet.Item{
		Open:    func() (raster.Source, error) { return f.recipe.Source(path) },
		Same:    f.recipe, // one for each film
		WidthMM: f.widthMM, HeightMM: f.heightMM, Person: n.Row.Person,
		Edge: n.Kind.Edge, Marks: n.Kind.Marks, Strip: n.Kind.Strip,
		Label: sheet.Label{Name: about.Name, Process: about.Process, Date: about.Date, Calibration: about.Calibration},
	}
}

// film plans a film once.
func (p *planner) film(f film) planned {
	if done, ok := p.seen[f]; ok {
		return done
	}
	recipe := *f.kind.Recipe
	done := planned{recipe: &recipe}
	recipe.Tone.WidthMM, recipe.Tone.HeightMM, done.err = lying(f)
	var notices []string
	var h raster.Header
	if done.err == nil {
		h, notices, done.err = recipe.Plan(f.picture)
	}
	if done.err == nil {
		done.widthMM, done.heightMM, done.err = sheet.SizeMM(f.picture, h)
	}
	p.tell(fmt.Sprintf("%s, %.0f x %.0f mm", filepath.Base(f.picture), done.widthMM, done.heightMM), notices)
	p.seen[f] = done
	return done
}

// lying returns a size the way the picture lies: paper is turned to the picture.
func lying(f film) (widthMM, heightMM float64, err error) {
	src, err := raster.Open(f.picture)
	if err != nil {
		return 0, 0, err
	}
	h := src.Header()
	if err := src.Close(); err != nil {
		return 0, 0, err
	}
	w, ht := h.Width, h.Height
	if h.Orientation >= 5 { // stored on its side (TIFF 6.0, Orientation)
		w, ht = ht, w
	}
	if f.widthMM > 0 && f.heightMM > 0 && w != ht && (w > ht) != (f.widthMM > f.heightMM) {
		return f.heightMM, f.widthMM, nil
	}
	return f.widthMM, f.heightMM, nil
}

// tell notes each notice of a film once.
func (p *planner) tell(name string, notices []string) {
	for _, text := range notices {
		if text = name + ": " + text; !p.told[text] {
			p.told[text] = true
			p.notices = append(p.notices, text)
		}
	}
}

// unreadable says that a row's picture is not there, with the name that may be
// meant, or that it is none; nil where it can be opened, or where the row names none.
func (p *planner) unreadable(r Row, path string) error {
	if r.Picture == "" {
		return nil
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		if _, _, err := lying(film{picture: path}); err != nil {
			return inRow(err, r)
		}
		return nil
	}
	hint := "check the name; pictures are looked for in the folder of the roster, or in that of --pictures"
	if near := like(path); near != "" {
		hint = fmt.Sprintf("did you mean %s?", near)
	}
	return r.fault(columnPicture, path+" does not exist", hint)
}

// like returns the file of the same folder whose name differs in case or ending
// only.
func like(path string) string {
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return ""
	}
	stem := func(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }
	name, found := filepath.Base(path), ""
	for _, e := range entries {
		switch {
		case strings.EqualFold(e.Name(), name):
			return e.Name()
		case found == "" && strings.EqualFold(stem(e.Name()), stem(name)):
			found = e.Name()
		}
	}
	return found
}

// inRow puts an error about a picture or calibration at its line of the roster.
func inRow(err error, r Row) error {
	var user *fault.Error
	if !errors.As(err, &user) {
		return fault.Wrap(err, r.File, fmt.Sprintf("line %d", r.Line), "", "")
	}
	if user.File == r.File && strings.HasPrefix(user.Where, "line ") {
		return err
	}
	return fault.Wrap(err, r.File, fmt.Sprintf("line %d", r.Line), user.Error(), user.Hint)
}
