package typeface

import (
	"slices"
	"sort"
	"strings"
	"unicode"

	"github.com/go-text/typesetting/segmenter"
)

const ellipsis = "…"

// Isolate marks a part of a line whose letters may run from right to left, so
// that it keeps its own order and place among its neighbours (Unicode Standard
// Annex #9, first strong isolate). The part must be Clean.
func Isolate(part string) string {
	if strings.ContainsFunc(part, runsBackwards) {
		return string(firstStrongIsolate) + part + string(popIsolate)
	}
	return part
}

// runsBackwards reports whether a letter is of a script that is written from
// right to left: those of U+0590 to U+08FF, their presentation forms, and of
// U+10800 to U+10FFF and U+1E800 to U+1EFFF (Unicode Standard Annex #9, defaults
// of the bidirectional class).
func runsBackwards(r rune) bool {
	return r >= 0x0590 && r <= 0x08FF || r >= 0xFB1D && r <= 0xFDFF || r >= 0xFE70 && r <= 0xFEFF ||
		r >= 0x10800 && r <= 0x10FFF || r >= 0x1E800 && r <= 0x1EFFF
}

// mostLetters is more than any line of film shows; of longer texts only both ends
// are looked at.
const mostLetters = 600

// Fit returns a text cut so that it fits a width when it is Isolated: what is too
// long loses its middle, because names differ at their ends. Letters keep their
// marks. Where not even both ends have room it is "". The text must be Clean and
// not Isolated.
func (s *Setter) Fit(text string, sizePt, widthMM float64) string {
	letters := lettersOf(text)
	if len(letters) <= mostLetters && s.Set(Isolate(text)).WidthMM(sizePt) <= widthMM {
		return text
	}
	most := min(len(letters)-1, mostLetters)
	short := func(keep int) string {
		head := (2*keep + 2) / 3
		return strings.TrimRightFunc(strings.Join(letters[:head], ""), unicode.IsSpace) + ellipsis +
			strings.TrimLeftFunc(strings.Join(letters[len(letters)-(keep-head):], ""), unicode.IsSpace)
	}
	width := func(keep int) float64 { return s.set(Isolate(short(keep))).WidthMM(sizePt) }
	keep := sort.Search(most+1, func(keep int) bool { return width(keep) > widthMM }) - 1
	// Letters that join take less room together: look below what was found.
	for keep >= 1 && width(keep) > widthMM {
		keep--
	}
	if keep < 1 {
		return ""
	}
	return short(keep)
}

// lettersOf cuts text where a reader would: marks stay with their letters
// (Unicode Standard Annex #29, grapheme clusters).
func lettersOf(text string) []string {
	var cut segmenter.Segmenter
	cut.Init([]rune(text))
	var all []string
	for it := cut.GraphemeIterator(); it.Next(); {
		all = append(all, string(it.Grapheme().Text))
	}
	return slices.Clip(all)
}
