package recipe

import "slices"

// CASNumber is a registry number and the form of the substance it stands for
// ("" for the substance as named).
type CASNumber struct {
	Number string `json:"number"`
	Form   string `json:"form"`
}

// Variant is how a chemical is classified otherwise: by some suppliers, at
// another strength, or under a proposal.
type Variant struct {
	When       string   `json:"when"`
	SignalWord string   `json:"signal_word"`
	Pictograms []string `json:"pictograms"`
	Statements []string `json:"statements"`
	Sources    []Source `json:"sources"`
}

// Chemical is one substance: its GHS classification, what it must not meet, and
// how to handle it. The supplier's safety data sheet overrides all of it.
type Chemical struct {
	ID         string      `json:"id"`
	Name       string      `json:"name"`
	CAS        []CASNumber `json:"cas"`
	Role       string      `json:"role"`
	SignalWord string      `json:"signal_word"` // "Danger", "Warning" or ""
	Pictograms []string    `json:"pictograms"`  // GHS codes; PictogramName gives the words
	Statements []string    `json:"statements"`  // H codes; FindHazardStatement gives the words
	Variants   []Variant   `json:"variants"`

	KeepAwayFrom []string `json:"keep_away_from"`
	Protection   []string `json:"protection"`
	Disposal     string   `json:"disposal"`
	Note         string   `json:"note"`
	Sources      []Source `json:"sources"`
}

// Chemicals returns every chemical, in the order of the data file.
func Chemicals() []Chemical { return append([]Chemical(nil), data().chemicals...) }

// FindChemical returns the chemical with an ID, a name or a CAS number, case,
// spaces and hyphens ignored. Its error is a *fault.Error that names the
// nearest ones.
func FindChemical(name string) (Chemical, error) {
	all := data().chemicals
	names := make([][]string, len(all))
	for i, c := range all {
		names[i] = append(names[i], c.ID, c.Name)
		for _, cas := range c.CAS {
			names[i] = append(names[i], cas.Number)
		}
	}
	i, err := lookup("chemical", name, names, "chemicals are listed on the process cards: 'actinic process show NAME'")
	if err != nil {
		return Chemical{}, err
	}
	return all[i], nil
}

// chemicalByID returns the chemical with exactly this ID, which a card that
// loaded is known to have.
func chemicalByID(id string) (Chemical, bool) {
	all := data().chemicals
	i := slices.IndexFunc(all, func(c Chemical) bool { return c.ID == id })
	if i < 0 {
		return Chemical{}, false
	}
	return all[i], true
}
