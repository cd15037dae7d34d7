package tone

// Patch is one patch of a check strip.
type Patch struct {
	Number int     // printed beside it, from 1
	Tone   float64 // picture tone, L* 0 to 100
}

// StripHint is what a check strip tells a printer who works by inspection.
const StripHint = "stop when 3 and 4 merge"

// StripTones returns the check strip, left to right. It is made with the same
// curve as the picture.
//
// Patches 1 to 4 go down to black in shrinking steps and touch each other.
// While black is not reached, 3 is seen lighter than 4. At the exposure the
// curve was made for they are 1 of 100 tones apart, about 0.7 L* on a print
// from L* 95 to 20: above the 0.3 to 0.5 L* that adjacent flat patches show on
// smooth paper, below the 1 L* that is plain on any, so on coated paper they
// merge just there. 2 and 3 are then still apart; when they merge too, the
// print is over-exposed. Patches 5 to 10 are for reading the finished print.
// (Threshold figures and steps: common practice, from memory.)
func StripTones() []Patch {
	tones := []float64{6, 3, 1, 0, 10, 25, 50, 75, 90, 100}
	patches := make([]Patch, len(tones))
	for i, t := range tones {
		patches[i] = Patch{i + 1, t}
	}
	return patches
}
