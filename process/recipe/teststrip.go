package recipe

import (
	"fmt"

	"actinic/process/fault"
	"actinic/process/sensitometry"
)

// A test strip for a process reaches two stops either way from the middle of its
// usual exposures (common practice, no source), and at least from one end of them
// to the other.
const stripReach = 4

// TestStrip returns the ends of a test strip around the card's starting exposure,
// rounded to what reads well on a timer. It fails with a *fault.Error where the
// card has no single starting exposure.
func (c Card) TestStrip() (from, to sensitometry.Exposure, err error) {
	middle := c.StartingExposure.Minutes
	if middle == 0 {
		return from, to, fault.New("", c.ID, fmt.Sprintf("has no starting exposure: %s", c.StartingExposure.Label),
			"give both ends: --from 2h --to 32h")
	}
	seconds := func(minutes float64) sensitometry.Exposure {
		return sensitometry.Exposure{Amount: 60 * minutes, Unit: sensitometry.Seconds}.Settable()
	}
	return seconds(min(middle/stripReach, c.ExposureMinutes.Low)), seconds(max(middle*stripReach, c.ExposureMinutes.High)), nil
}
