package opacity

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"actinic/testdata/vectors"
)

// table returns a complete spectrum of a function at whole nanometres.
func table(name string, low, high float64, value func(nm float64) float64) Spectrum {
	s := Spectrum{Name: name}
	for nm := low; nm <= high; nm++ {
		s.WavelengthsNM, s.Values = append(s.WavelengthsNM, nm), append(s.Values, value(nm))
	}
	return s
}

func complete(s Spectrum) Spectrum { s.Complete = true; return s }

func light(t testing.TB, lamp, sensitiser Spectrum) *Light {
	t.Helper()
	l, err := NewLight(Lamp{Spectrum: lamp}, Sensitiser{Spectrum: sensitiser})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// The stated formulas of effective_density.csv, whose results were summed with
// Python in double precision, ten digits.
func dyeTransmittance(a float64) func(float64) float64 {
	sigma := 90 / 2.35482004503
	return func(nm float64) float64 {
		return math.Pow(10, -(a*math.Exp(-0.5*math.Pow((nm-425)/sigma, 2)) + 0.1*a))
	}
}

func baseTransmittance(nm float64) float64 {
	return math.Pow(10, -(0.03 + 0.6*math.Exp(-(nm-320)/12)))
}

func vectorLight(t testing.TB, centre, fwhm float64) *Light {
	sigma := fwhm / 2.35482004503
	lamp := table("lamp", 320, 450, func(nm float64) float64 { return math.Exp(-0.5 * math.Pow((nm-centre)/sigma, 2)) })
	sensitiser := table("sensitiser", 320, 450, func(nm float64) float64 { return 1 / (1 + math.Exp((nm-415)/12)) })
	return light(t, complete(lamp), complete(sensitiser))
}

func TestEffectiveDensityVectors(t *testing.T) {
	v := vectors.Read(t, "effective_density.csv")
	base := table("base", 320, 450, baseTransmittance)
	for i := range v.Rows {
		l := vectorLight(t, v.Float(i, "centre_nm"), v.Float(i, "fwhm_nm"))
		passes := dyeTransmittance(v.Float(i, "A"))
		dye := table("dye", 320, 450, passes)
		both := table("dye on base", 320, 450, func(nm float64) float64 { return passes(nm) * baseTransmittance(nm) })
		for _, c := range []struct {
			column string
			film   Film
			sample Spectrum
		}{
			{"D_dye", Film{}, dye},
			{"D_base", Film{}, base},
			{"D_base_plus_dye", Film{}, both},
			{"D_net", Film{Base: &base, InSamples: true}, both},
			{"D_net", Film{Base: &base}, dye},
		} {
			d, err := l.UVDensity(c.film, c.sample)
			if err != nil {
				t.Fatal(err)
			}
			near(t, c.column, float64(d.UVDensity), v.Float(i, c.column), 2e-9)
			near(t, c.column+" at least", float64(d.AtLeast), float64(d.UVDensity), 1e-12)
		}
		d, err := l.FilmBase(Film{Base: &base})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "film base", float64(d.UVDensity), v.Float(i, "D_base"), 2e-9)
	}
}

// The density of an invented dye by every spectral product of ISO 5-3 at 10 nm,
// summed with Python. (ISO 5-3:2009, 4.4.2, would have its weighting tables for
// this; the sum is the same.)
func TestISO5SpectralProducts(t *testing.T) {
	products, want := vectors.Read(t, "iso5_3_spectral_products.csv"), vectors.Read(t, "iso5_3_density_example.csv")
	sums := vectors.Read(t, "iso5_3_sums.csv")
	sigma := 90 / 2.35482004503
	for i := range want.Rows {
		channel := want.Cell(i, "channel")
		l := &Light{nm: products.Floats("nm"), weight: products.Floats(channel)}
		for _, w := range l.weight {
			l.total += w
		}
		near(t, channel+" sum", l.total, sums.Float(i, "sum"), 1e-6)
		dye := func(nm float64) (float64, bool) {
			return math.Pow(10, -(1.5*math.Exp(-0.5*math.Pow((nm-425)/sigma, 2)) + 0.1)), true
		}
		near(t, channel, float64(l.weighted(nothing, dye).UVDensity), want.Float(i, "density"), 1e-8)
	}
}

// carbon is a layer of carbon black: density goes with 1/wavelength (absorption
// exponent 1.0, "widely accepted": Liu et al., Atmos. Chem. Phys. 18 6259, 2018).
func carbon(at550 float64) Spectrum {
	return table("carbon", 300, 600, func(nm float64) float64 { return math.Pow(10, -at550*550/nm) })
}

func flat(t testing.TB) Sensitiser {
	t.Helper()
	s, err := FindSensitiser("flat")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// By the law alone: 550/365 = 1.507, 550/395 = 1.392, 550/405 = 1.358 for light
// of one wavelength, three decimals.
func TestCarbonBlackLaw(t *testing.T) {
	for nm, want := range map[float64]float64{365: 1.507, 395: 1.392, 405: 1.358, 550: 1} {
		line := Spectrum{WavelengthsNM: []float64{nm - 0.5, nm, nm + 0.5}, Values: []float64{0, 1, 0}, Complete: true}
		d, err := light(t, line, complete(table("all", 300, 600, func(float64) float64 { return 1 }))).UVDensity(Film{}, carbon(1))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "carbon", float64(d.UVDensity), want, 5e-4)
	}
}

// Figures that were computed from measured lamps (pet_effective_density.csv:
// carbon black, and 125 um polyester whose transmittance is quoted at thirteen
// wavelengths). Our lamps of the same peak and half-width are generic: the
// tolerance is what that costs. The tube is the one that its bands were fitted
// to.
func TestGenericLampsAgainstMeasuredOnes(t *testing.T) {
	polyester := Spectrum{Name: "polyester",
		WavelengthsNM: []float64{300, 315, 320, 330, 340, 350, 360, 365, 370, 385, 395, 405, 450},
		Values:        []float64{.003, .081, .359, .711, .783, .823, .856, .868, .881, .902, .909, .916, .925}}
	v := vectors.Read(t, "pet_effective_density.csv")
	// In the order of the file; its last lamp is another kind of tube.
	lamps := []string{"led:367.7x10.8", "led:387.9x13.1", "led:405.2x19.2", "led:391x13.1", "led:366x8.5", "led:385.3x11.7", "tube:350"}
	if len(v.Rows) != len(lamps)+1 {
		t.Fatalf("%d lamps, expected %d", len(v.Rows), len(lamps)+1)
	}
	for i, name := range lamps {
		lamp, err := FindLamp(name)
		if err != nil {
			t.Fatal(err)
		}
		l := light(t, lamp.Spectrum, flat(t).Spectrum)
		for column, film := range map[string]Spectrum{"D_eff_PET": polyester, "D_eff_carbon_1.0at550": carbon(1)} {
			d, err := l.UVDensity(Film{}, film)
			if err != nil {
				t.Fatal(err)
			}
			tolerance := map[string]float64{"D_eff_PET": 0.002, "D_eff_carbon_1.0at550": 0.007}[column]
			near(t, name+" "+column, float64(d.UVDensity), v.Float(i, column), tolerance)
		}
	}
}

// drawnDensity draws a smooth spectrum of density.
func drawnDensity(t *rapid.T, name string) func(nm float64) float64 {
	peak := rapid.Float64Range(300, 460).Draw(t, name+" peak")
	width := rapid.Float64Range(8, 120).Draw(t, name+" width")
	height := rapid.Float64Range(0.1, 3).Draw(t, name+" height")
	return func(nm float64) float64 { return height * bell((nm-peak)/width) }
}

func transmittance(of func(nm float64) float64, times float64) Spectrum {
	return table("ink", 300, 470, func(nm float64) float64 { return math.Pow(10, -times*of(nm)) })
}

// Jensen's inequality: the UV density is at most the mean density weighted by the
// light. Twice the ink stops less than twice as much, unless light is of one
// wavelength. Ink is judged by the light that the film lets through.
func TestSpectralProperties(t *testing.T) {
	lamps, sensitisers := Lamps(), Sensitisers()
	rapid.Check(t, func(t *rapid.T) {
		lamp := rapid.SampledFrom(lamps).Draw(t, "lamp")
		lamp.Spectrum = clone(lamp.Spectrum, 1)
		l, err := NewLight(lamp, rapid.SampledFrom(sensitisers).Draw(t, "sensitiser"))
		if err != nil {
			t.Fatal(err)
		}
		l.cutTo(300, 470)
		ink, base := drawnDensity(t, "ink"), drawnDensity(t, "film")
		net := func(f Film, s Spectrum) float64 {
			d, err := l.UVDensity(f, s)
			if err != nil {
				t.Fatal(err)
			}
			return float64(d.UVDensity)
		}
		one, two := net(Film{}, transmittance(ink, 1)), net(Film{}, transmittance(ink, 2))
		if mean := l.mean(ink); one > mean+1e-12 || one < 0 {
			t.Fatalf("density %g, mean density %g", one, mean)
		}
		if two > 2*one+1e-12 || two < one-1e-12 {
			t.Fatalf("twice the ink stops %g, once %g", two, one)
		}
		film := transmittance(base, 1)
		on := table("ink on film", 300, 470, func(nm float64) float64 { return math.Pow(10, -base(nm)-ink(nm)) })
		alone := net(Film{Base: &film}, transmittance(ink, 1))
		near2(t, "two ways to know the film", alone, net(Film{Base: &film, InSamples: true}, on), 1e-9)
		near2(t, "film and ink add up", net(Film{}, film)+alone, net(Film{}, on), 1e-9)
		grey := table("grey", 300, 470, func(float64) float64 { return 0.31 })
		near2(t, "a grey film changes nothing", net(Film{Base: &grey}, transmittance(ink, 1)), one, 1e-9)
	})
}

func clone(s Spectrum, times float64) Spectrum {
	s.Values = slices.Clone(s.Values)
	for i := range s.Values {
		s.Values[i] *= times
	}
	return s
}

// cutTo leaves only light of some wavelengths.
func (l *Light) cutTo(low, high float64) {
	l.total = 0
	for i, nm := range l.nm {
		if nm < low || nm > high {
			l.weight[i] = 0
		}
		l.total += l.weight[i]
	}
}

func (l *Light) mean(of func(nm float64) float64) float64 {
	sum := 0.0
	for i, w := range l.weight {
		sum += w * of(l.nm[i])
	}
	return sum / l.total
}

func near2(t *rapid.T, what string, got, want, tolerance float64) {
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: %.12g and %.12g", what, got, want)
	}
}

// By hand: straight between points, unknown or nothing beyond.
func TestSpectrumAt(t *testing.T) {
	s := Spectrum{WavelengthsNM: []float64{300, 310, 330}, Values: []float64{1, 0, 4}}
	for nm, want := range map[float64]float64{300: 1, 305: 0.5, 310: 0, 315: 1, 330: 4} {
		v, known := s.At(nm)
		near(t, "value", v, want, 1e-15)
		if !known {
			t.Errorf("%g nm is not known", nm)
		}
	}
	for _, nm := range []float64{299.9, 330.1, math.NaN()} {
		if _, known := s.At(nm); known {
			t.Errorf("%g nm is known", nm)
		}
		if v, known := complete(s).At(nm); v != 0 || !known {
			t.Errorf("%g nm beyond a complete spectrum: %g, %v", nm, v, known)
		}
	}
}

// A lamp's power may be in any unit, and a table of it in any step: here 0.25 nm
// against 1 nm.
func TestLampScaleAndStep(t *testing.T) {
	l, err := FindLamp("led:370x12")
	if err != nil {
		t.Fatal(err)
	}
	fine := Spectrum{Name: "fine", Complete: true}
	for nm := 300.0; nm <= 460; nm += 0.25 {
		v, _ := l.At(nm)
		fine.WavelengthsNM, fine.Values = append(fine.WavelengthsNM, nm), append(fine.Values, 1e6*v)
	}
	want, err1 := light(t, l.Spectrum, flat(t).Spectrum).UVDensity(Film{}, carbon(2))
	got, err2 := light(t, fine, flat(t).Spectrum).UVDensity(Film{}, carbon(2))
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	near(t, "fine lamp", float64(got.UVDensity), float64(want.UVDensity), 1e-4)
}
