package opacity

import (
	"fmt"

	"actinic/process/fault"
)

// Film says what clear film passes and how samples of ink were measured on it.
// The zero Film: nothing is known of the film, and samples are ink alone, against
// clear film.
type Film struct {
	Base *Spectrum // transmittance of clear film; nil if not known
	// InSamples says that samples are ink on this film, measured against air, so
	// that the film cancels. Otherwise they are ink alone, measured against clear
	// film.
	InSamples bool
}

// FilmBase returns the UV density of clear film itself, the film base, against
// air. It fails with a *fault.Error where more than MostUncovered of the light
// lies beyond the film's table; f.Base must be known.
func (l *Light) FilmBase(f Film) (Density, error) {
	if err := l.checkCovered(*f.Base); err != nil {
		return Density{}, err
	}
	return l.weighted(nothing, f.Base.At), nil
}

// UVDensity returns the UV density of an ink sample, net above clear film. It
// fails with a *fault.Error where more than MostUncovered of the light lies
// beyond a table, and where clear film passes nothing.
func (l *Light) UVDensity(f Film, sample Spectrum) (Density, error) {
	if err := l.checkCovered(sample); err != nil {
		return Density{}, err
	}
	if f.Base == nil {
		return l.weighted(nothing, sample.At), nil
	}
	if base, err := l.FilmBase(f); err != nil {
		return Density{}, err
	} else if float64(base.UVDensity) > mostFilmBase {
		return Density{}, fault.New(f.Base.File, "sample "+f.Base.Name, fmt.Sprintf("clear film passes no light that acts (%s)", l.Name),
			"check that this is clear film, and in nanometres")
	}
	if f.InSamples {
		return l.weighted(f.Base.At, sample.At), nil
	}
	return l.weighted(f.Base.At, func(nm float64) (float64, bool) {
		film, known := f.Base.At(nm)
		ink, knownInk := sample.At(nm)
		return film * ink, known && knownInk
	}), nil
}

// mostFilmBase is where film is no film to print through: a thousandth of the
// light (a working value of ours; films have 0.04 to 0.15).
const mostFilmBase = 3

// nothing is what light passes where nothing is in its way.
func nothing(float64) (float64, bool) { return 1, true }

// checkCovered refuses a table that leaves out too much of the light.
func (l *Light) checkCovered(s Spectrum) error {
	missed := 0.0
	for i, w := range l.weight {
		if _, known := s.At(l.nm[i]); !known {
			missed += w
		}
	}
	if missed <= MostUncovered*l.total {
		return nil
	}
	low, high := s.Ends()
	from, _, to := l.Band()
	return fault.New(s.File, "sample "+s.Name, fmt.Sprintf("the table runs from %g to %g nm and leaves out %.3g %% of the light that acts (%s, mainly %.0f to %.0f nm); expected at most %g %%",
		low, high, 100*missed/l.total, l.Name, from, to, 100*MostUncovered),
		"measure with an instrument that reaches these wavelengths; nothing is guessed beyond a table")
}
