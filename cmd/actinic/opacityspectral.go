package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"actinic/process/calibration"
	"actinic/process/measure"
	"actinic/process/opacity"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// spectralOptions are the flags of the spectral route.
type spectralOptions struct {
	spectra, lamp, sensitiser string
	filmSample, film          string
}

func (o *spectralOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVar(&o.spectra, "spectra", "", "predict from transmittances of the inks, file `S`")
	flags.StringVar(&o.lamp, "lamp", "", "`LAMP` of --spectra: "+opacity.LampForms+", a file, or list; without --spectra free text for the setup")
	flags.StringVar(&o.sensitiser, "sensitiser", "", "`NAME` for --spectra: "+opacity.SensitiserNames+" (all approximate), a file, or list")
	flags.StringVar(&o.filmSample, "film-sample", "", "`COLUMN` of --spectra that is clear film, where samples are ink on film")
	flags.StringVar(&o.film, "film-spectra", "", "transmittance of clear film, file `F`, where samples were measured against clear film")
}

// listWord asks for the built-in lamps or sensitisers.
const listWord = "list"

func (o *spectralOptions) lists() bool { return o.lamp == listWord || o.sensitiser == listWord }

// check refuses flags of the spectral route that do not go together.
func (o *spectralOptions) check(cmd *cobra.Command, prints bool) error {
	if o.spectra == "" {
		for _, name := range []string{"sensitiser", "film-sample", "film-spectra", "lamp"} {
			if cmd.Flag(name).Changed && !(name == "lamp" && prints) {
				return &usageError{where: "--" + name, what: "it goes with --spectra", hint: "add --spectra S.csv, transmittances of the inks"}
			}
		}
		return nil
	}
	switch {
	case o.lamp == "":
		return missingFlag(cmd, "lamp")
	case o.sensitiser == "":
		return missingFlag(cmd, "sensitiser")
	case o.film != "" && o.filmSample != "":
		return &usageError{where: "--film-spectra", what: "clear film is given twice",
			hint: "--film-sample where samples are ink on film, --film-spectra where they were measured against clear film"}
	}
	return nil
}

// files are the files of the spectral route.
func (o *spectralOptions) files() []string {
	if o.spectra == "" {
		return nil
	}
	names := []string{o.spectra}
	if _, builtIn := opacity.FindLamp(o.lamp); isTable(o.lamp, builtIn) {
		names = append(names, o.lamp)
	}
	if _, builtIn := opacity.FindSensitiser(o.sensitiser); isTable(o.sensitiser, builtIn) {
		names = append(names, o.sensitiser)
	}
	if o.film != "" {
		names = append(names, o.film)
	}
	return names
}

// isTable says whether a name that is nothing built in means a file: it has an
// ending or a folder, or is there.
func isTable(name string, builtIn error) bool {
	if builtIn == nil {
		return false
	}
	if _, err := os.Stat(name); err == nil {
		return true
	}
	looks := filepath.Ext(name) != "" || strings.ContainsRune(name, os.PathSeparator)
	return looks && !strings.HasPrefix(strings.ToLower(name), "led:") // led:900.5
}

// predictSpectra reads the tables of the spectral route and predicts.
func (a *app) predictSpectra(o *spectralOptions) (*calibration.Spectral, error) {
	rq := calibration.SpectralRequest{FilmSample: o.filmSample}
	var err error
	if rq.Lamp, err = a.findLamp(o.lamp); err != nil {
		return nil, err
	}
	if rq.Sensitiser, err = a.findSensitiser(o.sensitiser); err != nil {
		return nil, err
	}
	if o.film != "" {
		if rq.Film, err = a.readReadings(o.film, nil); err != nil {
			return nil, err
		}
	}
	table, err := a.readReadings(o.spectra, nil)
	if err != nil {
		return nil, err
	}
	return calibration.PredictSpectra(table, rq)
}

func (a *app) findLamp(name string) (opacity.Lamp, error) {
	lamp, err := opacity.FindLamp(name)
	if !isTable(name, err) {
		return lamp, asUsage(err)
	}
	spectrum, err := a.readOneSpectrum(name, "the power of a lamp")
	if err != nil {
		return opacity.Lamp{}, err
	}
	return opacity.MeasuredLamp(spectrum)
}

func (a *app) findSensitiser(name string) (opacity.Sensitiser, error) {
	s, err := opacity.FindSensitiser(name)
	if !isTable(name, err) {
		return s, asUsage(err)
	}
	spectrum, err := a.readOneSpectrum(name, "the answer of a sensitiser")
	if err != nil {
		return opacity.Sensitiser{}, err
	}
	return opacity.MeasuredSensitiser(spectrum)
}

func (a *app) readOneSpectrum(name, noun string) (opacity.Spectrum, error) {
	table, err := a.readReadings(name, &measure.Options{RelativeSpectra: true})
	if err != nil {
		return opacity.Spectrum{}, err
	}
	return calibration.OnlySpectrum(table, noun)
}

// lightLists is what 'opacity --lamp list --sensitiser list' prints with --json.
type lightLists struct {
	Lamps       []calibration.LightUsed `json:"lamps"`
	Sensitisers []calibration.LightUsed `json:"sensitisers"`
}

// printLists shows the built-in lamps and sensitisers that were asked for.
func (o *opacityOptions) printLists(a *app) error {
	lists := lightLists{Lamps: []calibration.LightUsed{}, Sensitisers: []calibration.LightUsed{}}
	if o.spectral.lamp == listWord {
		for _, l := range opacity.Lamps() {
			lists.Lamps = append(lists.Lamps, calibration.LightUsed{Name: l.ID, About: l.About, Approximate: l.Approximate, Sources: l.Sources})
		}
	}
	if o.spectral.sensitiser == listWord {
		for _, s := range opacity.Sensitisers() {
			lists.Sensitisers = append(lists.Sensitisers, calibration.LightUsed{Name: s.ID, About: s.About, Approximate: s.Approximate, Sources: s.Sources})
		}
	}
	return a.print(lists, func(w io.Writer) error { return lists.text(w) })
}

func (l lightLists) text(w io.Writer) error {
	var b strings.Builder
	for _, part := range []struct {
		heading string
		list    []calibration.LightUsed
	}{{"Lamps (led:PEAKxWIDTH takes any peak and half-width in nm)", l.Lamps}, {"Sensitisers", l.Sensitisers}} {
		if len(part.list) > 0 {
			fmt.Fprintf(&b, "%s:\n", part.heading)
		}
		for _, used := range part.list {
			fmt.Fprintf(&b, "  %-11s %s\n", used.Name, used.About)
			sourceLines(&b, 14, used.Sources)
		}
	}
	b.WriteString("All are approximate. They predict; a print decides.\n")
	_, err := io.WriteString(w, b.String())
	return err
}
