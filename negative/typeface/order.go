package typeface

import (
	"slices"

	"github.com/go-text/typesetting/bidi"
	xbidi "golang.org/x/text/unicode/bidi"
)

// The signs that Isolate puts around a part.
const (
	firstStrongIsolate = '\u2068'
	popIsolate         = '\u2069'
)

// visualRuns returns runs of one direction from left to right (Unicode Standard
// Annex #9). Parts that are Isolated are ordered each for itself, which is what
// the annex makes of them: the library would draw what ends a part from left to
// right together with what follows.
func visualRuns(runes []rune) []bidi.Run {
	var all []bidi.Run
	for start := 0; start < len(runes); {
		end, base := len(runes), bidi.LeftToRight
		if runes[start] == firstStrongIsolate {
			start++
			if n := slices.Index(runes[start:], popIsolate); n >= 0 {
				end = start + n
			}
			base = directionOf(runes[start:end])
		} else if n := slices.Index(runes[start:], firstStrongIsolate); n >= 0 {
			end = start + n
		}
		all = append(all, partRuns(runes, start, end, base)...)
		if start = end; start < len(runes) && runes[start] == popIsolate {
			start++
		}
	}
	return all
}

// directionOf returns the direction of the first letter that has one (rule P2).
func directionOf(part []rune) bidi.Direction {
	for _, r := range part {
		switch classOf(r) {
		case xbidi.L:
			return bidi.LeftToRight
		case xbidi.R, xbidi.AL:
			return bidi.RightToLeft
		}
	}
	return bidi.LeftToRight
}

func classOf(r rune) xbidi.Class {
	p, _ := xbidi.LookupRune(r)
	return p.Class()
}

// partRuns returns the runs of runes[start:end] from left to right (rule L2).
func partRuns(runes []rune, start, end int, base bidi.Direction) []bidi.Run {
	var p bidi.Paragraph
	found := p.Segment(runes[start:end], base)
	var runs []bidi.Run
	for i := range found.NumRuns() {
		run := found.Run(i)
		run.Start, run.End = run.Start+start, run.End+start
		if base == bidi.LeftToRight && run.IsLeftToRight() {
			runs = append(runs, numbersApart(runes, run)...)
			continue
		}
		runs = append(runs, run)
	}
	var highest bidi.Level
	for _, run := range runs {
		highest = max(highest, run.Level)
	}
	for level := highest; level > 0; level-- {
		reverseFrom(runs, level)
	}
	return runs
}

// reverseFrom reverses each sequence of runs of a level or higher.
func reverseFrom(runs []bidi.Run, level bidi.Level) {
	for i := 0; i < len(runs); i++ {
		end := i
		for end < len(runs) && runs[end].Level >= level {
			end++
		}
		if end > i {
			slices.Reverse(runs[i:end])
			i = end
		}
	}
}

// numbersApart cuts a run of even levels, which the library gives as one, into
// numbers beside letters from right to left, of level 2, and the rest, of level 0
// (rule I1).
func numbersApart(runes []rune, run bidi.Run) []bidi.Run {
	levels := make([]bidi.Level, 0, run.End-run.Start)
	level := run.Level
	for i := run.Start; i < run.End; i++ {
		switch classOf(runes[i]) {
		case xbidi.AN:
			level = 2
		case xbidi.EN, xbidi.ET, xbidi.NSM: // as what stands before
		case xbidi.CS, xbidi.ES: // within a number only
			if i+1 == run.End || !isDigit(runes[i+1]) {
				level = 0
			}
		default:
			level = 0
		}
		levels = append(levels, level)
	}
	var parts []bidi.Run
	for i, first := 0, 0; i < len(levels); i++ {
		if i+1 == len(levels) || levels[i+1] != levels[i] {
			parts = append(parts, bidi.Run{Start: run.Start + first, End: run.Start + i + 1, Level: levels[i]})
			first = i + 1
		}
	}
	return parts
}

func isDigit(r rune) bool { c := classOf(r); return c == xbidi.EN || c == xbidi.AN }
