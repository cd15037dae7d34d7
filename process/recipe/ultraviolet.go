package recipe

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// UVLimit is an exposure limit for the eye or the skin.
type UVLimit struct {
	Name    string   `json:"name"`
	Value   float64  `json:"value"`
	Unit    string   `json:"unit"`
	Remark  string   `json:"remark"`
	Sources []Source `json:"sources"`
}

// ultraviolet is the data file of lamp limits and cautions.
type ultraviolet struct {
	Limits           []UVLimit   `json:"limits"`
	LampCautions     []Statement `json:"lamp_cautions"`
	DaylightCautions []Statement `json:"daylight_cautions"`
}

// UVLimits returns the exposure limits.
func UVLimits() []UVLimit { return append([]UVLimit(nil), data().uv.Limits...) }

// UVCautions returns what to mind when working with UV lamps.
func UVCautions() []Statement { return append([]Statement(nil), data().uv.LampCautions...) }

// eyeLimitJM2 is the UV-A limit of the unprotected eye in eight hours, J/m2,
// not weighted by wavelength (ICNIRP, Health Physics 87(2):171-186, 2004).
const eyeLimitJM2 = 10000

// SecondsToEyeLimit returns how many seconds of looking at UV-A of the given
// irradiance, in W/m2 at the eye, use up the limit of eight hours; all openings
// of a unit add up. Below 10000 J/m2 / 8 h = 0.35 W/m2 the limit is not reached
// in that time. It fails with a *fault.Error unless the irradiance is above 0.
func SecondsToEyeLimit(irradianceWM2 float64) (float64, error) {
	if !(irradianceWM2 > 0) || math.IsInf(irradianceWM2, 1) {
		return 0, fault.New("", "irradiance", fmt.Sprintf("%g W/m2 was given, a figure above 0 is needed", irradianceWM2), "read it from a UV-A meter held where the eye would be")
	}
	return eyeLimitJM2 / irradianceWM2, nil
}
