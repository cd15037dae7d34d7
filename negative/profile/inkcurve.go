package profile

import (
	"fmt"
	"math"
)

// Ink is a calibration's curve: film ink in % for a picture's tone, L* 0..100.
// It must rise strictly and stay within 0..100.
type Ink func(tone float64) float64

// toneNodes is how many nodes a table over tones has: steps of 1/163.84 L*, so
// that even a kink of 30 % a unit of L* is met within 0.05 %. Some readers
// refuse tables of 32768 and more.
const toneNodes = 16385

// inkNodes is how many nodes a table over film ink has.
const inkNodes = 4096

// sample returns the curve at toneNodes tones, in % of full ink.
func (c Ink) sample() ([]float64, error) {
	table := make([]float64, toneNodes)
	for i := range table {
		tone := 100 * float64(i) / (toneNodes - 1)
		ink := c(tone)
		if !(ink >= 0 && ink <= 100) {
			return nil, fmt.Errorf("profile: the curve gives %g %% ink for tone %g, expected 0 to 100", ink, tone)
		}
		if i > 0 && ink <= table[i-1] {
			return nil, fmt.Errorf("profile: the curve does not rise at tone %g (%g %% ink)", tone, ink)
		}
		table[i] = ink
	}
	return table, nil
}

// codes returns the tone, 65535 for L* 100, of inkNodes levels of ink from none
// to full. Black and white are marked: programs that invert the table look for
// the code 0 and 65535, and would take any level of a run of them. So 0 stands
// only up to the curve's least ink and 65535 only at its most ink; levels beyond
// that one, which the curve does not use, are one code below.
func (c Ink) codes() ([]uint16, error) {
	nodes, err := c.sample()
	if err != nil {
		return nil, err
	}
	const white = 65535
	table := make([]uint16, inkNodes)
	peak := int(math.Ceil(nodes[toneNodes-1] / 100 * (inkNodes - 1)))
	at := 0
	for i := range table {
		ink := 100 * float64(i) / (inkNodes - 1)
		for at < toneNodes-2 && nodes[at+1] < ink {
			at++
		}
		switch {
		case ink <= nodes[0]:
		case i == peak:
			table[i] = white
		case i > peak:
			table[i] = white - 1
		default:
			tone := math.Round(white * c.tone(ink, at))
			table[i] = uint16(min(max(tone, 1), white-1))
		}
	}
	return table, nil
}

// tone inverts the curve between nodes at and at+1 by bisection; the result is
// 0..1 of L* 100.
func (c Ink) tone(ink float64, at int) float64 {
	low, high := float64(at)/(toneNodes-1), float64(at+1)/(toneNodes-1)
	for range 30 {
		mid := (low + high) / 2
		if c(100*mid) < ink {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}
