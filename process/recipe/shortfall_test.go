package recipe

import (
	"math"
	"strings"
	"testing"

	"actinic/process/density"
)

func joined(all []Statement) string {
	var b strings.Builder
	for _, s := range all {
		b.WriteString(s.Text + "\n")
	}
	return b.String()
}

// Doses against the published table (S. King, practitioners' pages): 8 ml of 5 %
// dichromate gave 1.36, 1 ml gave 1.80, 32 ml gave 1.10; the sentences round the
// line through it, which lies within 0.02.
func TestShortfallOfPalladium(t *testing.T) {
	for _, c := range []struct {
		name            string
		wanted, reached density.LogExposure
		want            []string
	}{
		{"8 ml", 2.00, 1.4316, []string{"to 1.36.", "about 8.7 ml per litre"}},
		{"grain", 2.00, 1.27, []string{"to 1.21.", "From 16 ml on it gives grain"}},
		{"too far", 2.00, 1.0, []string{"to 0.95.", "tried down to an exposure scale of 1.10 only"}},
		{"a little", 2.00, 1.95, []string{"less than 1 ml"}},
	} {
		got := joined(Shortfall("palladium_dop", c.wanted, c.reached))
		for _, w := range append(c.want, "show palladium_dop", "two passes") {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q is missing in\n%s", c.name, w, got)
			}
		}
	}
}

// Every sentence has a source with a label, for every card, and other processes
// that are named are in reach.
func TestShortfallOfEveryProcess(t *testing.T) {
	ids := []string{"", "no such process"}
	for _, c := range Cards() {
		ids = append(ids, c.ID)
	}
	for _, id := range ids {
		all := Shortfall(id, 1.9, 1.5)
		if len(all) < 2 || (id != "" && id != "no such process" && len(all) < 3) {
			t.Errorf("%s: %d sentences", id, len(all))
		}
		for _, s := range all {
			if len(s.Sources) == 0 || s.Sources[0].Label() == "" {
				t.Errorf("%s: no source: %s", id, s.Text)
			}
			if !strings.HasSuffix(s.Text, ".") || strings.Contains(s.Text, "  ") {
				t.Errorf("%s: no sentence: %q", id, s.Text)
			}
		}
		for _, c := range Cards() {
			if strings.Contains(joined(all), c.Name+" (usually") && c.ExposureScale.Typical > 1.5 {
				t.Errorf("%s: names %s, which needs more", id, c.Name)
			}
		}
	}
}

func TestNoShortfall(t *testing.T) {
	for _, reached := range []density.LogExposure{1.8, 2.5, density.LogExposure(math.NaN())} {
		if got := Shortfall("kallitype", 1.8, reached); got != nil {
			t.Errorf("%v of 1.8: %v", reached, got)
		}
	}
	if got := Shortfall("kallitype", 1.8, 0); len(got) == 0 {
		t.Error("nothing to do where no ink stops anything")
	}
}

func TestShortfallNamesAgents(t *testing.T) {
	got := joined(Shortfall("platinum_dop", 1.8, 1.2))
	for _, w := range []string{"very contrasty", "Potassium chlorate", "process show platinum_dop"} {
		if !strings.Contains(got, w) {
			t.Errorf("%q is missing in\n%s", w, got)
		}
	}
}
