package calibration

import (
	"fmt"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/printer"
)

// checkColours refuses what no fit of colours should see, and leaves out flagged
// and reversed readings.
func checkColours(prints []ColourPrint, o *Options) ([]ColourPrint, []FlaggedTable, error) {
	if len(prints) == 0 {
		return nil, nil, fault.New("", "", "no readings were given", "give the readings of a print of `actinic chart colours`, and of its step tablet")
	}
	var all []FlaggedTable
	kept := make([]ColourPrint, len(prints))
	for k, p := range prints {
		if err := checkColourTable(p.Colours); err != nil {
			return nil, nil, err
		}
		if err := checkOnce(prints[:k], p.Colours); err != nil {
			return nil, nil, err
		}
		if p.Tablet == nil {
			return nil, nil, fault.New(p.Colours.File, "", "no step tablet for this print, and without one UV density has no measure",
				"lay a step tablet in the chart's window and give its readings with --tablet, one file for each print")
		}
		tablet, flagged := leaveOutFlagged([]Print{{Tablet: p.Tablet, CutOut: p.CutOut}})
		all = append(all, flagged...)
		if err := checkPrints(tablet, o); err != nil {
			return nil, nil, err
		}
		p.Tablet = tablet[0].Tablet
		rest, left := splitFlagged(p.Colours)
		if left.Readings != nil {
			p.Colours, all = rest, append(all, left)
		}
		if len(rest.Readings) == 0 {
			return nil, nil, fault.New(p.Colours.File, "", "every reading is flagged as not to be trusted", "scan the print again, and look at `actinic read --show`")
		}
		if p.CutOut && clearFilm(p.Colours) == nil {
			return nil, nil, fault.New(p.Colours.File, "", "no patch of clear film (255, 255, 255), and the tablet lay in a cut-out: the film's own density is not known",
				"read a patch of clear film too, or lay the tablet over the film")
		}
		kept[k] = p
	}
	return kept, all, nil
}

func checkColourTable(t *measure.Table) error {
	switch {
	case t == nil:
		return fault.New("", "", "a print without readings of its colours", "give each print the readings of its chart of colours")
	case t.Kind == measure.Ramp:
		return fault.New(t.File, "", fmt.Sprintf("holds %v, expected %v", t.Kind, measure.Colours),
			"an ink ramp goes to `actinic curve --ramp`; UV density of colours is read from a print of `actinic chart colours`")
	}
	if err := measure.CheckKind(t, measure.Colours); err != nil {
		return err
	}
	for _, r := range t.Readings {
		if r.Device != printer.Clear {
			return nil
		}
	}
	return fault.New(t.File, "", "holds no colour but clear film (255, 255, 255)", "read the patches of the chart of colours")
}

// checkOnce refuses readings that were given before: they tell nothing new, and
// would halve the doubt.
func checkOnce(before []ColourPrint, t *measure.Table) error {
	for k, p := range before {
		if t.SHA256 != "" && p.Colours.SHA256 == t.SHA256 {
			return fault.New(t.File, "", fmt.Sprintf("holds the same readings as print %d, %s", k+1, p.Colours.Name),
				"give the readings of each print once")
		}
	}
	return nil
}

// How far one reading of a patch may scatter at most. Hand-coated paper scatters by
// 2 or 3 L*; tablets of another print and charts read in another order scatter by 10
// and more (working values of ours).
const (
	mostNoiseLightness = 8.0
	mostNoiseDensity   = 0.2
)

// checkAgreement refuses prints whose readings contradict each other or their
// tablets, so that no bound that they give is one.
func (f *colourFit) checkAgreement() error {
	for k, p := range f.prints {
		most, unit := mostNoiseLightness, "%.0f L*"
		if p.Colours.Unit == measure.InDensity {
			most, unit = mostNoiseDensity, "density %.2f"
		}
		noise := f.print(k).Noise
		if !(noise > most) {
			continue
		}
		whose := "readings of one colour"
		hint := "check that the tablet is of this very print, and the readings of the chart that was printed"
		if len(f.prints) > 1 {
			whose += ", in this print and the others,"
			hint = "check that the n-th tablet is of the n-th print, and that all prints are of one printer and its inks; or give each print alone"
		}
		what := fmt.Sprintf("%s differ from each other or from the tablet by some "+unit+", expected at most "+unit, whose, noise, most)
		return fault.New(p.Colours.File, "", what, hint)
	}
	return nil
}
