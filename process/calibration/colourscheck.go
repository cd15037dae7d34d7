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
