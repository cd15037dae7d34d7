package calibration

import (
	"fmt"
	"math"
)

// Where a needed range comes from, as the file says it.
const (
	fromTablet   = "tablet"                   // paper white to black
	fromExposure = "tablet, at this exposure" // paper white to clear film
	fromAsked    = "asked for"
	fromCard     = "process card"
)

// neededRange is what the ink colour must reach: the range asked for, or that of
// the tablets, and more where the first print was exposed for longer than black
// takes: its paper white needs that. Where the tablets do not reach black it is
// the longer of what paper white needs and the card's exposure scale; mind is the
// caution that goes with that. Nil where nothing is known.
func (c *Colours) neededRange(rq InksRequest) (r *InksRange, mind string) {
	const because = "The tablets do not surely reach from paper white to black: "
	here, tablets := c.rangeAtExposure(), c.Estimate.Sensitometry().NeededRange
	switch {
	case rq.NeededRange > 0:
		return &InksRange{Value{rq.NeededRange, 0}, fromAsked}, ""
	case tablets.Value > 0 && !(here.Value > tablets.Value):
		return &InksRange{tablets, fromTablet}, ""
	case tablets.Value > 0:
		return &InksRange{here, fromExposure}, ""
	case here.Known() && here.Value >= rq.CardScale:
		return &InksRange{here, fromExposure}, because +
			fmt.Sprintf("the needed range is what paper white needs at this exposure, %.2f. Where black takes more exposure, it grows by as much.", here.Value)
	case rq.CardScale > 0:
		return &InksRange{Value{rq.CardScale, 0}, fromCard}, because +
			fmt.Sprintf("the needed range is the longest exposure scale on the process card, %.2f.", rq.CardScale)
	}
	return nil, because + "the needed range is not known, and colours are not ranked. Ask for a range with --range or --process."
}

// rangeAtExposure returns the UV density that paper white needs at the exposure of
// the first print. It is the needed range as far as it goes where the tablets do
// not reach black: with the exposure that does, paper white needs more. Unknown
// where the tablets do not reach paper white, and where prints lighten with
// exposure.
func (c *Colours) rangeAtExposure() Value {
	toe := c.Estimate.Sensitometry().Toe
	if !toe.Known() || c.Estimate.fit.falling || !(toe.Value < 0) {
		return Value{math.NaN(), math.NaN()}
	}
	return Value{-toe.Value, toe.SD}
}
