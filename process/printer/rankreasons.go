package printer

import "fmt"

// explain gives each colour the reasons for its place, as short sentences.
func (r *Ranking) explain() {
	for i := range r.Colours {
		r.Colours[i].Reasons = r.reasons(r.Colours[i])
	}
}

func (r *Ranking) reasons(c Ranked) []string {
	if !c.Reaches {
		return []string{r.reachReason(c)}
	}
	out := []string{r.reachReason(c),
		fmt.Sprintf("reaches it at %.0f %% of its ramp with an ink load of %.0f %%", c.InkPercent, c.InkLoad),
		fmt.Sprintf("at its steepest one code value adds %.3f", c.Steepest)}
	if c.Levels < enoughLevels {
		out = append(out, fmt.Sprintf("only %d levels up to there", c.Levels))
	} else {
		out = append(out, fmt.Sprintf("%d levels up to there", c.Levels))
	}
	if c.LikeBetter {
		out = append(out, "nearly the same as a better one")
	}
	return out
}

func (r *Ranking) reachReason(c Ranked) string {
	switch {
	case c.UVDensity == nil && c.AtLeast == nil:
		return "too little is known of it"
	case c.Reaches:
		return fmt.Sprintf("passes the needed range of %.2f by %.2f, doubt taken off", r.NeededRange, c.Margin)
	case c.UVDensity == nil:
		return fmt.Sprintf("stops at least %.2f, which is not surely the needed range of %.2f: print it with more exposure to see", *c.AtLeast, r.NeededRange)
	case *c.UVDensity >= r.NeededRange:
		return fmt.Sprintf("may reach the needed range of %.2f, but its doubt leaves %.2f open", r.NeededRange, -c.Margin)
	}
	return fmt.Sprintf("falls short of the needed range of %.2f by %.2f, doubt included", r.NeededRange, -c.Margin)
}
