package calibration

import (
	"fmt"
	"math"
	"strings"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/opacity"
)

// Spectral is what transmittance tables say of UV density. It predicts; a print
// decides.
type Spectral struct {
	Readings   string      `json:"readings"` // base name of the table of samples
	Lamp       LightUsed   `json:"lamp"`
	Sensitiser LightUsed   `json:"sensitiser"`
	BandNM     [3]float64  `json:"band_nm"` // the middle 90 % of the light that acts: least, mean, most
	FilmSample string      `json:"film_sample"`
	FilmBase   *float64    `json:"film_base"` // null where clear film was not measured
	Samples    []Predicted `json:"samples"`
	// Others is how many other lights the bounds of samples were taken over;
	// LeftOut names those that reach beyond the tables.
	Others     int         `json:"other_lights"`
	LeftOut    []string    `json:"other_lights_left_out"`
	Comparison *Comparison `json:"comparison"` // null without a print
	Notices    []string    `json:"notices"`
}

// LightUsed names a lamp or a sensitiser.
type LightUsed struct {
	Name        string   `json:"name"`
	About       string   `json:"about"`
	Approximate bool     `json:"approximate"`
	Sources     []string `json:"sources"`
}

// Predicted is the UV density of one sample, log10, net above clear film. Low and
// High are what other lights would give that it may as well be. Null is more than
// the table can tell.
type Predicted struct {
	Sample    string   `json:"sample"`
	UVDensity *float64 `json:"uv_density"`
	Low       *float64 `json:"low"`
	LowWith   string   `json:"low_with"`
	High      *float64 `json:"high"`
	HighWith  string   `json:"high_with"`
	Uncovered float64  `json:"share_of_light_not_covered"`

	// What the prints tell of the same colour; null where they do not.
	Print      Optional `json:"print_uv_density"`
	AtLeast    *float64 `json:"print_at_least"`
	AtMost     *float64 `json:"print_at_most"`
	Difference Optional `json:"difference"` // print less prediction
}

// SpectralRequest says how a table of samples is to be taken.
type SpectralRequest struct {
	Lamp       opacity.Lamp
	Sensitiser opacity.Sensitiser
	FilmSample string         // the sample that is clear film, under all others too; "" if none
	Film       *measure.Table // clear film measured apart, one sample; nil if not
}

// spectrumOf returns one sample of a table of spectra.
func spectrumOf(t *measure.Table, sample int) opacity.Spectrum {
	s := t.Samples[sample]
	return opacity.Spectrum{Name: s.Name, File: t.File, WavelengthsNM: t.WavelengthsNM, Values: s.Values}
}

// OnlySpectrum returns the sample of a table that must have just one: a lamp, a
// sensitiser, clear film. noun names it in the error.
func OnlySpectrum(t *measure.Table, noun string) (opacity.Spectrum, error) {
	if err := measure.CheckKind(t, measure.Spectra); err != nil {
		return opacity.Spectrum{}, err
	}
	if len(t.Samples) != 1 {
		return opacity.Spectrum{}, fault.New(t.File, "", fmt.Sprintf("has %d samples beside wavelength_nm, expected one: %s", len(t.Samples), noun),
			"keep the one column that is meant")
	}
	return spectrumOf(t, 0), nil
}

// PredictSpectra returns what a table of transmittances says of the UV density of
// its samples.
func PredictSpectra(t *measure.Table, rq SpectralRequest) (*Spectral, error) {
	if err := measure.CheckKind(t, measure.Spectra); err != nil {
		return nil, err
	}
	film, samples, err := rq.takeApart(t)
	if err != nil {
		return nil, err
	}
	forecast, err := opacity.Route{Lamp: rq.Lamp, Sensitiser: rq.Sensitiser, Film: film}.Predict(samples)
	if err != nil {
		return nil, err
	}
	out := &Spectral{Readings: t.Name, FilmSample: rq.FilmSample, Others: forecast.Others,
		LeftOut:    append([]string{}, forecast.LeftOut...),
		Lamp:       LightUsed{rq.Lamp.Name, rq.Lamp.About, rq.Lamp.Approximate, rq.Lamp.Sources},
		Sensitiser: LightUsed{rq.Sensitiser.Name, rq.Sensitiser.About, rq.Sensitiser.Approximate, rq.Sensitiser.Sources}}
	out.BandNM[0], out.BandNM[1], out.BandNM[2] = forecast.Light.Band()
	if forecast.FilmBase != nil {
		out.FilmBase = finiteNumber(float64(forecast.FilmBase.UVDensity))
	}
	for _, p := range forecast.Samples {
		out.Samples = append(out.Samples, Predicted{Sample: p.Sample, Uncovered: p.Uncovered, UVDensity: finiteNumber(p.UVDensity),
			Low: finiteNumber(p.Low), LowWith: p.LowWith, High: finiteNumber(p.High), HighWith: p.HighWith})
	}
	out.Notices = rq.notices(t, film)
	if film.Base == nil && out.BandNM[0] < filmStopsNM {
		out.Notices = append(out.Notices, fmt.Sprintf("the light that acts begins at %.0f nm, and film stops much of what lies below %d nm: give clear film, so that it counts",
			out.BandNM[0], filmStopsNM))
	}
	return out, nil
}

// filmStopsNM is where polyester film begins to stop much: it passes 0.36 of the
// light at 320, 0.71 at 330 and 0.82 at 350 nm (measured on 125 um, as quoted from
// photobiologyFilters 0.6.1).
const filmStopsNM = 330

// takeApart tells clear film from inks among the samples of a table.
func (rq SpectralRequest) takeApart(t *measure.Table) (opacity.Film, []opacity.Spectrum, error) {
	var film opacity.Film
	var inks []opacity.Spectrum
	for i, s := range t.Samples {
		spectrum := spectrumOf(t, i)
		if rq.FilmSample != "" && strings.EqualFold(s.Name, rq.FilmSample) {
			film = opacity.Film{Base: &spectrum, InSamples: true}
			continue
		}
		inks = append(inks, spectrum)
	}
	switch {
	case rq.FilmSample != "" && film.Base == nil:
		return film, nil, fault.New(t.File, "", fmt.Sprintf("no sample %q, expected one of %s", cut(rq.FilmSample), sampleNames(t)),
			"name the column of clear film")
	case len(inks) == 0:
		return film, nil, fault.New(t.File, "", "no sample but clear film", "add a column for each ink colour")
	case rq.Film != nil:
		base, err := OnlySpectrum(rq.Film, "clear film")
		film = opacity.Film{Base: &base}
		return film, inks, err
	}
	return film, inks, nil
}

// sampleNames lists the samples of a table for a message.
func sampleNames(t *measure.Table) string {
	var names []string
	for i, s := range t.Samples {
		if i == mostNamed {
			return strings.Join(names, ", ") + " and more"
		}
		names = append(names, cut(s.Name))
	}
	return strings.Join(names, ", ")
}

// cut shortens a name that a file or a flag brought.
func cut(name string) string {
	if r := []rune(name); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return name
}

// notices says what was taken for granted.
func (rq SpectralRequest) notices(t *measure.Table, film opacity.Film) []string {
	out := append([]string{}, t.Notices...)
	if film.Base != nil {
		return out
	}
	for _, s := range t.Samples {
		switch strings.ToLower(s.Name) {
		case "clear", "film", "base", "clear film", "film base":
			return append(out, fmt.Sprintf("the sample %s looks like clear film; if the others were measured with the film in, add --film-sample", s.Name))
		}
	}
	return append(out, "clear film is not given: samples are taken as ink alone, measured against clear film")
}

// finiteNumber returns v, or nil where it is infinite or not known.
func finiteNumber(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}
