package recipe

import (
	"fmt"
	"slices"

	"actinic/process/fault"
)

// Level says how hard an incompatibility is.
type Level string

// The levels of incompatibility.
const (
	Stop Level = "stop" // never bring them together
	Warn Level = "warn" // keep apart; dilute contact is managed by rinsing
	Note Level = "note" // spoils the work, harms nobody
)

// Party is one side of an incompatibility.
type Party struct {
	Text string   `json:"text"`
	IDs  []string `json:"ids"` // the chemicals that it covers
	// Everywhere: a workroom may hold it although no recipe names it (heat,
	// tap water, household bleach, alcohol), so it counts as present.
	Everywhere bool `json:"everywhere"`
}

// Incompatibility is a pair that must not meet, and what comes of it.
type Incompatibility struct {
	A       Party    `json:"a"`
	B       Party    `json:"b"`
	Result  string   `json:"result"`
	Level   Level    `json:"level"`
	Sources []Source `json:"sources"`
}

// String returns "A with B: result".
func (i Incompatibility) String() string {
	return fmt.Sprintf("%s with %s: %s", i.A.Text, i.B.Text, i.Result)
}

// Incompatibilities returns every known pair, in the order of the data file.
func Incompatibilities() []Incompatibility {
	return append([]Incompatibility(nil), data().incompatible...)
}

// Incompatible returns the pairs that matter where the chemicals with these IDs
// are in use, stops first, then warnings, then notes. A pair matters when both
// sides are present, or one side is and the other can be in any workroom. It
// fails with a *fault.Error on an ID that is not a chemical's, rather than
// pass an unknown substance as harmless.
func Incompatible(ids ...string) ([]Incompatibility, error) {
	for _, id := range ids {
		if _, ok := chemicalByID(id); !ok {
			return nil, fault.New("", "chemical "+quote(id), "this chemical is not known, so nothing can be said of what it must not meet", "find its id with 'actinic process show NAME'")
		}
	}
	return matching(data().incompatible, ids), nil
}

// Incompatible returns the pairs that matter in this process, its optional
// chemicals included.
func (c Card) Incompatible() []Incompatibility {
	return matching(data().incompatible, c.ChemicalIDs(true))
}

func matching(all []Incompatibility, ids []string) []Incompatibility {
	var found []Incompatibility
	for _, level := range []Level{Stop, Warn, Note} {
		for _, pair := range all {
			if pair.Level == level && pair.matters(ids) {
				found = append(found, pair)
			}
		}
	}
	return found
}

func (i Incompatibility) matters(ids []string) bool {
	a, b := i.A.among(ids), i.B.among(ids)
	return (a || b) && (a || i.A.Everywhere) && (b || i.B.Everywhere)
}

func (p Party) among(ids []string) bool {
	return slices.ContainsFunc(p.IDs, func(id string) bool { return slices.Contains(ids, id) })
}
