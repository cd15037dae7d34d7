package sheet

import (
	"sort"
	"strings"
	"sync"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
)

// missingSign stands where the typeface has no letter: an empty box.
const missingSign = '□'

const ellipsis = "…"

const mmPerPoint = mmPerInch / 72

// face is the one typeface of a sheet: what it can show, and how wide it is.
type face struct {
	font     *sfnt.Font
	upm      fixed.Int26_6
	buf      sfnt.Buffer
	advances map[rune]float64 // in ems
}

// parsedFont is read once: the parsed font is safe for concurrent use, the
// buffer of each face is not.
var parsedFont = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(liberationsansregular.TTF)
	if err != nil {
		panic("sheet: the built-in typeface does not parse: " + err.Error())
	}
	return f
})

func newFace() *face {
	f := parsedFont()
	return &face{font: f, upm: fixed.Int26_6(f.UnitsPerEm()), advances: map[rune]float64{}}
}

// has reports whether the typeface shows r. Letters beyond U+FFFF would not
// survive the PDF's two-byte codes.
func (f *face) has(r rune) bool {
	if r > 0xFFFF {
		return false
	}
	g, err := f.font.GlyphIndex(&f.buf, r)
	return err == nil && g != 0
}

// widthMM returns how long text is at sizePt points.
func (f *face) widthMM(text string, sizePt float64) float64 {
	ems := 0.0
	for _, r := range text {
		ems += f.advance(r)
	}
	return ems * sizePt * mmPerPoint
}

// advance returns the width of one letter in ems.
func (f *face) advance(r rune) float64 {
	if a, ok := f.advances[r]; ok {
		return a
	}
	em := 0.0
	if g, err := f.font.GlyphIndex(&f.buf, r); err == nil {
		if a, err := f.font.GlyphAdvance(&f.buf, g, f.upm, font.HintingNone); err == nil {
			em = float64(a) / float64(f.upm)
		}
	}
	f.advances[r] = em
	return em
}

// clean returns text composed (file names of some systems come decomposed), in
// one line, with each letter that the typeface lacks replaced by an empty box,
// and how many were. Its letters come in the order in which they are drawn, so
// each part of a line is cleaned by itself.
func (f *face) clean(text string) (shown string, missing int) {
	var b strings.Builder
	for _, r := range strings.Join(strings.Fields(norm.NFC.String(text)), " ") {
		if !f.has(r) {
			missing++
			r = missingSign
		}
		b.WriteRune(r)
	}
	return visual(b.String()), missing
}

// fit returns text cut to widthMM: what is too long loses its middle, because
// names differ at their ends.
func (f *face) fit(text string, sizePt, widthMM float64) string {
	runes := []rune(text)
	if f.widthMM(text, sizePt) <= widthMM {
		return text
	}
	short := func(keep int) string {
		head := (2*keep + 2) / 3
		return strings.TrimSpace(string(runes[:head])) + ellipsis + strings.TrimSpace(string(runes[len(runes)-(keep-head):]))
	}
	tooLong := sort.Search(len(runes), func(keep int) bool { return f.widthMM(short(keep), sizePt) > widthMM })
	if tooLong <= 1 {
		return ""
	}
	return short(tooLong - 1)
}

// wrap breaks text at its spaces into lines of at most widthMM; a single word
// that is longer is cut.
func (f *face) wrap(text string, sizePt, widthMM float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		longer := strings.TrimSpace(line + " " + word)
		if line != "" && f.widthMM(longer, sizePt) > widthMM {
			lines = append(lines, line)
			longer = word
		}
		line = f.fit(longer, sizePt, widthMM)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// join sets parts in lines of at most widthMM, as many to a line as fit, with a
// dot between. A part stays in one piece.
func (f *face) join(parts []string, sizePt, widthMM float64) []string {
	var lines []string
	line := ""
	for _, p := range parts {
		if p == "" {
			continue
		}
		longer := joinFilled(line, p)
		if line != "" && f.widthMM(longer, sizePt) > widthMM {
			lines = append(lines, line)
			longer = p
		}
		line = f.fit(longer, sizePt, widthMM)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// visual returns text in the order in which its letters are drawn from left to
// right: what is written from right to left comes reversed (Unicode Standard
// Annex #9, for a line whose own direction is left to right).
func visual(text string) string {
	var p bidi.Paragraph
	if _, err := p.SetString(text, bidi.DefaultDirection(bidi.LeftToRight)); err != nil {
		return text
	}
	order, err := p.Order()
	if err != nil {
		return text
	}
	var b strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			b.WriteString(bidi.ReverseString(run.String()))
		} else {
			b.WriteString(run.String())
		}
	}
	// The library is young: it may misplace letters, it must not lose any.
	if utf8.RuneCountInString(b.String()) != utf8.RuneCountInString(text) {
		return text
	}
	return b.String()
}
