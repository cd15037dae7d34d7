package opacity

import "math"

// Route is a spectral route to UV density: which light acts, and on which film
// the samples are.
type Route struct {
	Lamp       Lamp
	Sensitiser Sensitiser
	Film       Film
}

// Prediction is the UV density of one sample by a Route, net above clear film.
type Prediction struct {
	Sample    string
	UVDensity float64 // log10; +Inf where the table shows no light at all behind it
	// Low and High are the least and the most that it is for lamps and sensitisers
	// that it may as well be, where those of the route are approximate, and
	// however much passes where a table says nothing. LowWith and HighWith name
	// the light.
	Low, High         float64
	LowWith, HighWith string
	Uncovered         float64 // share of the acting light beyond the tables
}

// Forecast is what a Route predicts.
type Forecast struct {
	Light    *Light
	FilmBase *Density // nil where clear film is not known
	Samples  []Prediction
	// Others is how many other lights Low and High were taken over. Those that
	// reach beyond the tables were left out; LeftOut names them.
	Others  int
	LeftOut []string
}

// Predict returns the UV density of each sample. A print decides: it predicts
// only. It fails with a *fault.Error where lamp and sensitiser do not meet, and
// where a table leaves out too much of their light.
func (r Route) Predict(samples []Spectrum) (*Forecast, error) {
	f := &Forecast{Samples: make([]Prediction, len(samples))}
	var err error
	if f.Light, err = NewLight(r.Lamp, r.Sensitiser); err != nil {
		return nil, err
	}
	if r.Film.Base != nil {
		base, err := f.Light.FilmBase(r.Film)
		if err != nil {
			return nil, err
		}
		f.FilmBase = &base
	}
	for i, s := range samples {
		d, err := f.Light.UVDensity(r.Film, s)
		if err != nil {
			return nil, err
		}
		f.Samples[i] = Prediction{s.Name, float64(d.UVDensity), float64(d.AtLeast), float64(d.AtMost), f.Light.Name, f.Light.Name, d.Uncovered}
	}
	f.spread(r, samples)
	return f, nil
}

// spread widens each prediction to what other lights would give.
func (f *Forecast) spread(r Route, samples []Spectrum) {
	for _, light := range r.others() {
		all := make([]Density, len(samples))
		var err error
		for i, s := range samples {
			if all[i], err = light.UVDensity(r.Film, s); err != nil {
				break
			}
		}
		if err != nil {
			f.LeftOut = append(f.LeftOut, light.Name)
			continue
		}
		f.Others++
		for i, d := range all {
			f.Samples[i].widen(float64(d.AtLeast), float64(d.AtMost), light.Name)
		}
	}
}

func (p *Prediction) widen(low, high float64, with string) {
	if low < p.Low {
		p.Low, p.LowWith = low, with
	}
	if high > p.High {
		p.High, p.HighWith = high, with
	}
}

// others returns the lights that the route's may as well be: each lamp near the
// given one with each sensitiser, where these are approximate. A flat answer is
// no sensitiser and left out. A pair that shares no light is left out too.
func (r Route) others() []*Light {
	lamps := append([]Lamp{r.Lamp}, r.Lamp.Near...)
	sensitisers := []Sensitiser{r.Sensitiser}
	if r.Sensitiser.Approximate {
		for _, s := range Sensitisers() {
			if s.ID != r.Sensitiser.ID && s.ID != "flat" {
				sensitisers = append(sensitisers, s)
			}
		}
	}
	var lights []*Light
	for i, lamp := range lamps {
		for k, s := range sensitisers {
			if i == 0 && k == 0 {
				continue
			}
			if l, err := NewLight(lamp, s); err == nil {
				lights = append(lights, l)
			}
		}
	}
	return lights
}

// Known says whether the table shows any light behind the sample.
func (p Prediction) Known() bool { return !math.IsInf(p.UVDensity, 0) && !math.IsNaN(p.UVDensity) }
