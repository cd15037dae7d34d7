package batch

import (
	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/process/fault"
)

// LuminanceOf returns how a picture's samples become light: by its embedded
// profile, else by the exponent and primaries it states, else as sRGB; L*a*b* pictures say it
// themselves. Pictures with equal profiles share one.
//
// It fails with *fault.Error, under the file's name, when the profile is broken,
// of a kind that no picture has or for another kind of picture, and when a picture
// in inks has none.
func LuminanceOf(name string, h raster.Header) (*profile.Luminance, error) {
	l, err := luminanceOf(h)
	if err != nil {
		return nil, fault.Wrap(err, name, "embedded profile", "", profileHint)
	}
	if l == nil {
		return nil, fault.New(name, "embedded profile", "is missing: only a profile tells how light a mixture of inks (CMYK) is",
			"embed the profile when you save the picture, or convert the picture to grey or RGB")
	}
	return l, nil
}

const profileHint = "convert the picture to sRGB or grey in an editor and save it again"

// luminanceOf returns nil where nothing tells light.
func luminanceOf(h raster.Header) (*profile.Luminance, error) {
	switch {
	case h.Space == raster.Lightness && h.Profile == nil:
		return profile.Lightness(), nil
	case h.Space == raster.Lightness:
		return profile.Lightness(), profile.CheckLab(h.Profile)
	case h.Profile != nil:
		return profile.Shared(h.Profile, h.Channels)
	case h.Space == raster.Inks:
		return nil, nil
	}
	return byGamma(h), nil
}

// sRGB values are close to this exponent, and files that state it mean sRGB.
const srgbLow, srgbHigh = 2.15, 2.25

func byGamma(h raster.Header) *profile.Luminance {
	if h.RGBLight != [3]float64{} && h.Channels == 3 {
		return profile.Primaries(h.Gamma, h.RGBLight)
	}
	if h.Gamma == 0 || h.Gamma > srgbLow && h.Gamma < srgbHigh {
		return profile.SRGB(h.Channels)
	}
	return profile.Gamma(h.Channels, h.Gamma)
}
