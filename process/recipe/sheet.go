package recipe

import "slices"

// Sheet is a card with everything that Render shows beside it, so that a
// program reading JSON is told the hazards too.
type Sheet struct {
	Process          Card              `json:"process"`
	Chemicals        []Chemical        `json:"chemicals"`
	HazardStatements []HazardStatement `json:"hazard_statements"` // the words of the codes used
	Incompatible     []Incompatibility `json:"incompatible"`
	WatchFor         []PrintFault      `json:"watch_for"`
	UVLimits         []UVLimit         `json:"uv_limits"`
	LightCautions    []Statement       `json:"light_cautions"`
	DisposalCautions []Statement       `json:"disposal_cautions"`
	ShortCaution     string            `json:"short_caution"`
	StandingCaution  string            `json:"standing_caution"`
}

// Sheet returns the card with its chemicals, pairs and cautions.
func (c Card) Sheet() Sheet {
	s := Sheet{
		Process: c, Chemicals: []Chemical{}, HazardStatements: []HazardStatement{},
		Incompatible:  append([]Incompatibility{}, c.Incompatible()...),
		WatchFor:      c.WatchFor(),
		UVLimits:      UVLimits(),
		LightCautions: c.LightCautions(), DisposalCautions: DisposalCautions(),
		ShortCaution: c.ShortCaution(), StandingCaution: standingCaution,
	}
	used := map[string]bool{}
	for _, use := range c.Chemicals {
		chemical, _ := chemicalByID(use.ID)
		s.Chemicals = append(s.Chemicals, chemical)
		for _, code := range chemical.codes() {
			used[code] = true
		}
	}
	for _, statement := range data().statements {
		if used[statement.Code] {
			s.HazardStatements = append(s.HazardStatements, statement)
		}
	}
	return s
}

// codes returns every hazard code of the chemical, those of variants included.
func (c Chemical) codes() []string {
	all := slices.Clone(c.Statements)
	for _, v := range c.Variants {
		all = append(all, v.Statements...)
	}
	return all
}
