package handout

import (
	"fmt"
	"strings"

	"actinic/process/calibration"
	"actinic/process/recipe"
	"actinic/process/sensitometry"
)

const doubtText = "± is the doubt, one standard uncertainty: 95 times in 100 the truth lies within twice that."

// ExposureOf returns the exposure to start from: that of the calibration's print,
// for which its curve holds, with first black and its doubt. Without a calibration
// (nil), or where it does not say its exposure, it is the usual range of the card.
func ExposureOf(c *calibration.Calibration, card recipe.Card) Exposure {
	if c == nil {
		return usual(card, "Not measured here: no calibration was given.")
	}
	x := c.Exposure
	if x.Given == nil {
		return usual(card, "Not measured here: the calibration does not say how long its print was exposed.")
	}
	given := sensitometry.Exposure{Amount: *x.Given, Unit: x.Unit}
	e := Exposure{Headline: given.String(),
		Text: []string{"The calibration's print had this exposure, and the films are made for it."}}
	if x.FirstBlack == nil {
		e.Text = append(e.Text, "How far it is from the shortest that reaches black is not known: no step tablet was read.", testStripText)
		return e
	}
	first := sensitometry.Exposure{Amount: x.FirstBlack.Value, Unit: x.Unit}
	e.Figure = "first black " + strings.ReplaceAll(first.WithDoubt(x.FirstBlack.SD), "+-", "±")
	e.Text = append(e.Text, "First black is the shortest exposure that reaches black through clear film. "+doubtText)
	if first.Amount-2*x.FirstBlack.SD > given.Amount {
		e.Text = append(e.Text, "The calibration's print did not reach black: a longer exposure needs a new calibration.")
	}
	return e
}

const testStripText = "Lamp, glass or paper changed since? Print a test strip first."

// usual is the range that a process card gives.
func usual(card recipe.Card, why string) Exposure {
	low, high := minutes(card.ExposureMinutes.Low), minutes(card.ExposureMinutes.High)
	e := Exposure{Headline: low.String() + " to " + high.String(), Sources: card.ExposureMinutes.Sources}
	e.Text = []string{why + " This is the usual range, a guess to begin with: " + card.ExposureBasis + "."}
	from, to, err := card.TestStrip()
	if err != nil {
		e.Text = append(e.Text, "Look at the print from time to time.")
		return e
	}
	e.Text = append(e.Text, fmt.Sprintf("Find your own with a test strip from %s to %s, each step twice the one before or closer.", from, to))
	return e
}

func minutes(m float64) sensitometry.Exposure {
	return sensitometry.Exposure{Amount: 60 * m, Unit: sensitometry.Seconds}
}
