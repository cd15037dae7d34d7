package main

import (
	"actinic/process/calibration"
	"actinic/process/measure"
	"actinic/process/printer"
	"actinic/process/recipe"
	"actinic/process/sensitometry"
)

// findInks fits the prints, and sums them up in the result.
func (a *app) findInks(o *opacityOptions, result *opacityResult) (*calibration.Inks, error) {
	request, card, err := a.inksRequest(o)
	if err != nil {
		return nil, err
	}
	prints, unit, err := a.readColourPrints(o, &result.Notices)
	if err != nil {
		return nil, err
	}
	request.Unit = unit
	colours, err := calibration.FitColours(prints, &calibration.Options{Falling: card.Falling, KeepUnevenness: o.keep})
	if err != nil {
		return nil, err
	}
	if result.Spectral != nil {
		if err := result.Spectral.Compare(colours.Measured, o.spectral.spectra); err != nil {
			return nil, err
		}
	}
	inks, err := colours.Inks(request)
	if err != nil {
		return nil, err
	}
	inks.Spectral = result.Spectral
	for _, name := range o.spectral.files() {
		if inks.Inputs, err = appendInput(inks.Inputs, name); err != nil {
			return nil, err
		}
	}
	result.sumUp(o, inks, len(request.Cautions), card)
	return inks, nil
}

// inksRequest gathers what the inks are to be. The card is empty without
// --process.
func (a *app) inksRequest(o *opacityOptions) (calibration.InksRequest, recipe.Card, error) {
	rq := calibration.InksRequest{Setup: o.setup, Straight: o.blend == blendStraight}
	rq.Setup.Lamp = o.spectral.lamp
	var card recipe.Card
	var err error
	if rq.Made, err = a.made(); err != nil {
		return rq, card, err
	}
	rq.NeededRange = float64(o.needed)
	if o.colour.said {
		c := printer.RGB(o.colour.rgbFlag)
		rq.InkColour = &c
	}
	if o.process == "" {
		return rq, card, nil
	}
	if card, err = findProcess(o.process); err != nil {
		return rq, card, err
	}
	rq.Setup.Process, rq.Cautions, rq.CardScale = card.Name, card.Cautions(), float64(card.ExposureScale.High)
	return rq, card, nil
}

// readColourPrints reads the readings of every print with its tablet and
// exposure; unit is the exposures', "" where none is given.
func (a *app) readColourPrints(o *opacityOptions, notices *[]string) (prints []calibration.ColourPrint, unit string, err error) {
	prints = make([]calibration.ColourPrint, len(o.readings))
	for i, name := range o.readings {
		p := calibration.ColourPrint{CutOut: o.stack == cutOut}
		if p.Colours, err = a.readReadings(name, nil); err != nil {
			return nil, "", err
		}
		if err := measure.CheckKind(p.Colours, measure.Colours); err != nil {
			return nil, "", hintOfKind(err, p.Colours)
		}
		if p.Tablet, err = a.readReadings(o.tablets[i], &measure.Options{Steps: string(o.steps)}); err != nil {
			return nil, "", err
		}
		if len(o.exposures) > 0 {
			x, err := sensitometry.ParseExposure(o.exposures[i])
			if err != nil {
				return nil, "", err
			}
			p.Exposure, unit = x.Amount, x.Unit
		}
		*notices = append(append(*notices, noticesOf(p.Colours)...), noticesOf(p.Tablet)...)
		prints[i] = p
	}
	return prints, unit, nil
}
