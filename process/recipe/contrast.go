package recipe

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
)

// ContrastRow is one setting of a contrast control.
type ContrastRow struct {
	Process       string              `json:"process"` // ID of a Card
	Agent         string              `json:"agent"`
	Chemicals     []string            `json:"chemicals,omitempty"` // IDs of what the agent brings
	Dose          string              `json:"dose"`
	MLPerLitre    float64             `json:"ml_per_litre,omitempty"`   // 0 where the dose is not a volume
	PercentWV     float64             `json:"percent_wv,omitempty"`     // of the solution that is dosed in ml per litre
	ExposureScale density.LogExposure `json:"exposure_scale,omitempty"` // 0 where not known
	Effect        string              `json:"effect"`
	Sources       []Source            `json:"sources"`
}

// The fit of the published doses to the exposure scales they gave, for
// palladium: scale = 1.789 - 0.457 log10(ml of 5 % dichromate per litre),
// within 0.02, in the table's two decimals, over 1 to 32 ml.
const (
	dichromateIntercept = 1.789
	dichromateSlope     = 0.457
	dichromateMinML     = 1
	dichromateMaxML     = 32
	// The exposure scales of the table's first and last dose: within 0.02 of the
	// line too, but beyond its ends.
	dichromateSoftest = 1.80
	dichromateHardest = 1.10
)

// PalladiumDichromate returns how many millilitres of 5 % potassium dichromate
// in a litre of developer give palladium the wanted exposure scale. It fails
// with a *fault.Error outside the doses that were tried (1 to 32 ml): nothing
// is known beyond them.
//
// Source: least-squares line through a handbook author's forum table (S. King),
// one paper, double coat; a starting point only.
func PalladiumDichromate(scale density.LogExposure) (mlPerLitre float64, err error) {
	if !(scale >= dichromateHardest && scale <= dichromateSoftest) {
		return 0, fault.New("", "exposure scale",
			fmt.Sprintf("%.2f was asked for; dichromate in the developer was tried from %.2f to %.2f only", float64(scale), dichromateHardest, dichromateSoftest),
			"change the ink range of the film, or choose another process")
	}
	ml := math.Pow(10, (dichromateIntercept-float64(scale))/dichromateSlope)
	return min(max(ml, dichromateMinML), dichromateMaxML), nil
}

func dichromateScale(mlPerLitre float64) density.LogExposure {
	return density.LogExposure(dichromateIntercept - float64(dichromateSlope*math.Log10(mlPerLitre)))
}
