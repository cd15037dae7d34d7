package sensitometry

import (
	"fmt"
	"math"

	"actinic/process/density"
)

// Eye is what two steps read by eye tell of a print of a step tablet, each with
// its standard uncertainty.
type Eye struct {
	ExposureScale, ScaleSD   float64 // log10: first black to first tone
	FirstBlackShift, BlackSD float64 // log10 from the exposure given to the first-black exposure
	Increment                float64 // of the tablet, density a step
}

// By eye a step merges with black, or is last seen, anywhere within the step
// that follows: a uniform doubt of one increment, sd 1/sqrt 12 of it, beside a
// doubt of half a step about where seeing ends (common practice, from memory).
const seeingSD = 0.5

// ReadByEye takes the tablet's densities in the order of its steps, the last
// step that cannot be told from black and the last that shows any tone; steps
// count from 1.
//
// With 8 min and a 21-step tablet whose step 3 (density 0.35) is black and step
// 4 (0.50) is not, black is reached between 8 x 10^-0.50 and 8 x 10^-0.35 min.
func ReadByEye(steps []density.Density, lastBlack, lastSeen int) (Eye, error) {
	if lastBlack < 1 || lastSeen > len(steps) || lastSeen <= lastBlack {
		return Eye{}, fmt.Errorf("steps %d and %d: expected the last black step first, then the last step seen, between 1 and %d",
			lastBlack, lastSeen, len(steps))
	}
	black, blackStep := between(steps, lastBlack)
	seen, seenStep := between(steps, lastSeen)
	sd := func(step float64) float64 { return step * math.Hypot(1/math.Sqrt(12), seeingSD) }
	return Eye{
		ExposureScale: seen - black, ScaleSD: math.Hypot(sd(blackStep), sd(seenStep)),
		FirstBlackShift: -black, BlackSD: sd(blackStep), Increment: blackStep,
	}, nil
}

// between returns the density half way from a step to the next one, and the
// distance of the two; after the last step the one before stands in.
func between(steps []density.Density, n int) (middle, increment float64) {
	at := float64(steps[n-1])
	if n < len(steps) {
		increment = float64(steps[n]) - at
	} else {
		increment = at - float64(steps[n-2])
	}
	return at + increment/2, increment
}
