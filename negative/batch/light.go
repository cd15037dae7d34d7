package batch

import (
	"errors"

	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/process/fault"
)

// LuminanceOf returns how a picture's samples become light: by its embedded
// profile, else by the exponent it states, else as sRGB.
//
// It fails with *fault.Error, under the file's name, when the profile is broken
// or of a kind that no picture has.
func LuminanceOf(name string, h raster.Header) (*profile.Luminance, error) {
	if h.Profile == nil {
		return byGamma(h), nil
	}
	l, err := profile.FromICC(h.Profile, h.Channels)
	if err != nil {
		return nil, fault.Wrap(err, name, "embedded profile", "", profileHint(err))
	}
	return l, nil
}

func profileHint(err error) string {
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		return "convert the picture to sRGB or grey in an editor and save it again"
	}
	return ""
}

// sRGB values are close to this exponent, and files that state it mean sRGB.
const srgbLow, srgbHigh = 2.15, 2.25

func byGamma(h raster.Header) *profile.Luminance {
	if h.Gamma == 0 || h.Gamma > srgbLow && h.Gamma < srgbHigh {
		return profile.SRGB(h.Channels)
	}
	return profile.Gamma(h.Channels, h.Gamma)
}
