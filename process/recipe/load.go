package recipe

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"sync"
)

//go:embed data
var embedded embed.FS

// library is everything in the data files, resolved and checked.
type library struct {
	cards        []Card
	chemicals    []Chemical
	statements   []HazardStatement
	incompatible []Incompatibility
	contrast     []ContrastRow
	uv           ultraviolet
	disposal     []Statement
	faults       []PrintFault
	coat         coatData
	recipes      []Recipe
	sources      map[string]Source
}

// data parses the embedded files once. A fault in them is a programmer's bug,
// which the tests find: hence the panic.
var data = sync.OnceValue(func() *library { return mustLoad(embedded) })

func mustLoad(fsys fs.FS) *library {
	lib, err := load(fsys)
	if err != nil {
		panic("recipe: embedded data: " + err.Error())
	}
	return lib
}

// load reads, links and checks the data files under data/ of fsys. Its error
// names the file.
func load(fsys fs.FS) (*library, error) {
	lib := &library{}
	var sources []Source
	files := []struct {
		name string
		into any
	}{
		{"data/sources.json", &sources},
		{"data/statements.json", &lib.statements},
		{"data/chemicals.json", &lib.chemicals},
		{"data/incompatibilities.json", &lib.incompatible},
		{"data/contrast.json", &lib.contrast},
		{"data/ultraviolet.json", &lib.uv},
		{"data/disposal.json", &lib.disposal},
		{"data/faults.json", &lib.faults},
		{"data/coat.json", &lib.coat},
	}
	for _, f := range files {
		if err := readJSON(fsys, f.name, f.into); err != nil {
			return nil, err
		}
	}
	if err := lib.readCards(fsys); err != nil {
		return nil, err
	}
	if err := lib.readRecipes(fsys); err != nil {
		return nil, err
	}
	if err := lib.resolveSources(sources); err != nil {
		return nil, err
	}
	lib.complete()
	return lib, lib.validate()
}

// readCards reads every file of data/processes, which come sorted by name and
// so by ID.
func (lib *library) readCards(fsys fs.FS) error {
	names, err := fs.Glob(fsys, "data/processes/*.json")
	if err != nil {
		return err
	}
	for _, name := range names {
		var c Card
		if err := readJSON(fsys, name, &c); err != nil {
			return err
		}
		if "data/processes/"+c.ID+".json" != name {
			return fmt.Errorf("%s: id is %q; a card's file is named after its id", name, c.ID)
		}
		lib.cards = append(lib.cards, c)
	}
	return nil
}

func readJSON(fsys fs.FS, name string, into any) error {
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		return err
	}
	return decode(name, text, into)
}

// decode parses the text of one file; an unknown field or text after the end
// is an error.
func decode(name string, text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if _, err := d.Token(); err != io.EOF {
		return fmt.Errorf("%s: text after the end of the data", name)
	}
	return nil
}

// resolveSources replaces each bare key by its source.
func (lib *library) resolveSources(sources []Source) error {
	lib.sources = make(map[string]Source, len(sources))
	for _, s := range sources {
		if _, twice := lib.sources[s.Key]; twice {
			return fmt.Errorf("sources: %q stands twice", s.Key)
		}
		lib.sources[s.Key] = s
	}
	for _, c := range lib.citations() {
		for i, s := range *c.sources {
			full, ok := lib.sources[s.Key]
			if !ok {
				return fmt.Errorf("%s: source %q is not known", c.where, s.Key)
			}
			(*c.sources)[i] = full
		}
	}
	for i := range lib.statements {
		s := &lib.statements[i]
		full, ok := lib.sources[s.Source.Key]
		if !ok {
			return fmt.Errorf("%s: source %q is not in data/sources.json", s.Code, s.Source.Key)
		}
		s.Source = full
	}
	return nil
}

// citation is a list of sources and what it belongs to.
type citation struct {
	where   string
	sources *[]Source
}

// citations returns every list of sources in the data.
func (lib *library) citations() []citation {
	var all []citation
	add := func(where string, sources *[]Source) { all = append(all, citation{where, sources}) }
	for i := range lib.cards {
		for _, sources := range lib.cards[i].sourceLists() {
			add(lib.cards[i].ID, sources)
		}
	}
	for i := range lib.chemicals {
		c := &lib.chemicals[i]
		add(c.ID, &c.Sources)
		for j := range c.Variants {
			add(c.ID, &c.Variants[j].Sources)
		}
	}
	for i := range lib.incompatible {
		add(lib.incompatible[i].String(), &lib.incompatible[i].Sources)
	}
	for i := range lib.contrast {
		add(lib.contrast[i].Agent, &lib.contrast[i].Sources)
	}
	lib.uv.addSources(add)
	for i := range lib.disposal {
		add(lib.disposal[i].Text, &lib.disposal[i].Sources)
	}
	for i := range lib.faults {
		add("fault: "+lib.faults[i].Sign, &lib.faults[i].Sources)
	}
	lib.coat.addSources(add)
	for i := range lib.recipes {
		lib.recipes[i].addSources(add)
	}
	return all
}

func (u *ultraviolet) addSources(add func(string, *[]Source)) {
	for i := range u.Limits {
		add(u.Limits[i].Name, &u.Limits[i].Sources)
	}
	for _, group := range [][]Statement{u.LampCautions, u.DaylightCautions} {
		for i := range group {
			add(group[i].Text, &group[i].Sources)
		}
	}
}

// complete fills in what follows from the rest.
func (lib *library) complete() {
	level := make(map[string]HazardLevel, len(lib.chemicals))
	for _, c := range lib.chemicals {
		level[c.ID] = c.hazardLevel()
	}
	for i := range lib.cards {
		c := &lib.cards[i]
		c.StartingExposure = startingExposure(c.ExposureMinutes)
		c.HazardLevel, c.HazardLevelWithOptions = LowHazard, LowHazard
		for _, use := range c.Chemicals {
			c.HazardLevelWithOptions = worse(c.HazardLevelWithOptions, level[use.ID])
			if !use.Optional {
				c.HazardLevel = worse(c.HazardLevel, level[use.ID])
			}
		}
		c.ContrastTable = []ContrastRow{}
		for _, row := range lib.contrast {
			if row.Process == c.ID {
				c.ContrastTable = append(c.ContrastTable, row)
			}
		}
	}
}
