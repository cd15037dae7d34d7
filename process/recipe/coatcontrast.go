package recipe

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"actinic/process/density"
	"actinic/process/fault"
)

// ContrastChoice is a contrast setting of a process: one that changes the parts
// of the mix, or one that goes into the developer, the bath or the air.
type ContrastChoice struct {
	Name          string              `json:"name"`
	Agent         string              `json:"agent"`
	Effect        string              `json:"effect"`
	Parts         map[string]float64  `json:"parts"`                    // nil where the mix stays as it is
	MLPerLitre    float64             `json:"ml_per_litre,omitempty"`   // of the agent, in the developer
	PercentWV     float64             `json:"percent_wv,omitempty"`     // of the agent's solution
	ExposureScale density.LogExposure `json:"exposure_scale,omitempty"` // 0 where not known
	Chemicals     []string            `json:"chemicals"`                // IDs of what it brings
	Sources       []Source            `json:"sources"`
}

// settings returns the contrast settings of the job's recipe and process.
func (j *coatJob) settings() []ContrastChoice {
	list := []ContrastChoice{}
	for _, s := range j.recipe.Settings {
		list = append(list, ContrastChoice{Name: s.Name, Agent: "parts of the mix", Effect: s.Effect, Parts: s.Parts,
			Chemicals: []string{}, Sources: s.Sources})
	}
	if j.card == nil {
		return list
	}
	for _, row := range j.card.ContrastTable {
		if len(j.recipe.Settings) > 0 && j.recipe.holds(row.Chemicals) {
			continue // the recipe's own settings say the same in parts
		}
		list = append(list, ContrastChoice{Name: row.Dose, Agent: row.Agent, Effect: row.Effect,
			MLPerLitre: row.MLPerLitre, PercentWV: row.PercentWV, ExposureScale: row.ExposureScale,
			Chemicals: append([]string{}, row.Chemicals...), Sources: row.Sources})
	}
	return list
}

// chooseContrast finds the plan's setting and takes its parts.
func (j *coatJob) chooseContrast() error {
	if j.plan.Contrast == "" {
		return nil
	}
	if scale, err := strconv.ParseFloat(strings.TrimSpace(j.plan.Contrast), 64); err == nil {
		return j.chooseScale(density.LogExposure(scale))
	}
	if len(j.choices) == 0 {
		return fault.New("", "contrast "+quote(j.plan.Contrast), "no contrast setting is on file for "+j.process, "leave it out; 'actinic process show' says how its contrast is changed")
	}
	names := make([][]string, len(j.choices))
	all := make([]string, len(j.choices))
	for i, c := range j.choices {
		names[i], all[i] = []string{c.Name}, c.Name
	}
	i, err := lookup("contrast setting", j.plan.Contrast, names, "the settings are "+strings.Join(all, "; "))
	if err != nil {
		return err
	}
	j.choice = &j.choices[i]
	for name, parts := range j.choice.Parts {
		j.parts[name] = parts
	}
	return nil
}

// chooseScale takes a wanted exposure scale, which is known for palladium with
// dichromate in its developer.
func (j *coatJob) chooseScale(scale density.LogExposure) error {
	const tabled = "palladium_dop"
	i := slices.IndexFunc(j.choices, func(c ContrastChoice) bool { return c.MLPerLitre > 0 && c.ExposureScale > 0 })
	if j.process != tabled || i < 0 {
		return fault.New("", "contrast", fmt.Sprintf("an exposure scale of %g was asked for; what gives it is on file for %s only", float64(scale), tabled), "name a setting, or leave it out to see them")
	}
	ml, err := PalladiumDichromate(scale)
	if err != nil {
		return err
	}
	row := j.choices[i]
	j.choice = &ContrastChoice{
		Name: fmt.Sprintf("%.1f ml per litre", ml), Agent: row.Agent, MLPerLitre: ml, PercentWV: row.PercentWV, ExposureScale: scale,
		Effect:    "between the published doses, by a line through them that holds to 0.02; one paper, double coat",
		Chemicals: row.Chemicals, Sources: row.Sources,
	}
	if ml >= grainML {
		j.choice.Effect += "; grain can show"
	}
	return nil
}

// grainML is the dose of the table from which grain can show, ml per litre.
const grainML = 16

// holds reports whether the recipe's solutions hold all of these chemicals.
func (r *Recipe) holds(ids []string) bool {
	mine := r.chemicals(func(string) bool { return true })
	return len(ids) > 0 && !slices.ContainsFunc(ids, func(id string) bool { return !slices.Contains(mine, id) })
}

// bath returns the solution from which the agent is dosed in millilitres.
func (s ContrastChoice) bath() (Solution, bool) {
	if s.MLPerLitre == 0 || s.PercentWV == 0 || len(s.Chemicals) != 1 {
		return Solution{}, false
	}
	agent := Ingredient{Chemical: s.Chemicals[0], GramsPer100ML: s.PercentWV, Sources: s.Sources}
	return Solution{Name: "for contrast", Contents: []Ingredient{agent}, Sources: s.Sources}, true
}
