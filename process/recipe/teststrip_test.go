package recipe

import (
	"errors"
	"testing"

	"actinic/process/fault"
	"actinic/process/sensitometry"
)

// Every card gives a strip that holds its usual exposures, can be planned, and is
// no longer than a day of the lamp; or says why not.
func TestTestStrip(t *testing.T) {
	without := 0
	for _, c := range Cards() {
		from, to, err := c.TestStrip()
		if err != nil {
			var user *fault.Error
			if without++; !errors.As(err, &user) || user.Hint == "" || c.StartingExposure.Minutes != 0 {
				t.Errorf("%s: %v", c.ID, err)
			}
			continue
		}
		plan, err := sensitometry.PlanExposures(from, to, 9)
		// An eighth is what rounding may take.
		if err != nil || plan[0].Amount > 1.07*60*c.ExposureMinutes.Low || plan[8].Amount < 0.93*60*c.ExposureMinutes.High || to.Amount > 86400 {
			t.Errorf("%s: %v to %v, %v", c.ID, from, to, err)
		}
	}
	if without != 1 { // anthotype, hours to weeks
		t.Errorf("%d cards have no strip, want 1", without)
	}
	// By hand for Van Dyke brown, 3 to 10 min: the middle is 5.48 min, and two stops
	// either way 1.37 and 21.9 min, 82 and 1315 s.
	c, err := Find("vandyke")
	if err != nil {
		t.Fatal(err)
	}
	from, to, _ := c.TestStrip()
	if from.String() != "1 min 20 s" || to.String() != "22 min" {
		t.Errorf("vandyke: %v to %v", from, to)
	}
}
