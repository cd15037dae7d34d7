package typeface

import (
	"slices"
	"strings"
	"unicode"

	"github.com/go-text/typesetting/bidi"
	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	ot "github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
	xbidi "golang.org/x/text/unicode/bidi"
)

// missingSign stands where no font has the letter: an empty box.
const missingSign = '□'

// unitsPerEM are the units that letters are laid out and drawn in.
const unitsPerEM = 2000

// Setter sets text. It is not safe for concurrent use.
type Setter struct {
	faces    []*font.Face
	shared   map[rune]fontID // of letters of no one script; 0 where no font has it
	shaper   shaping.HarfbuzzShaper
	lines    map[string]*Line
	outlines map[string]*Line // of plain lines
}

// NewSetter returns a setter. It takes no time until a text needs its fonts.
func NewSetter() *Setter {
	return &Setter{faces: make([]*font.Face, len(fonts)), shared: map[rune]fontID{}, lines: map[string]*Line{}, outlines: map[string]*Line{}}
}

// Line is a text that is set.
type Line struct {
	// Missing are the letters that no font has, each once, in the order of the
	// text: an empty box is shown for each.
	Missing []rune

	widthEM float64
	scale   float64 // less than 1 where letters would leave the line
	plain   bool    // text on the page shows it
	text    string  // in the order of reading
	shown   string  // from left to right, as it is drawn
	path    string  // outlines, as PDF, in units of the em; "" if plain
}

// WidthMM returns how long the line is at a type size.
func (l *Line) WidthMM(sizePt float64) float64 {
	return float64(l.widthEM*sizePt) * mmPerPoint
}

const mmPerPoint = 25.4 / 72

// Set sets a text, which must be Clean, perhaps with parts that are Isolated. Its
// own direction is left to right.
func (s *Setter) Set(text string) *Line {
	if l, ok := s.lines[text]; ok {
		return l
	}
	l := s.set(text)
	s.lines[text] = l
	return l
}

// Outlined is Set with Latin, Greek and Cyrillic as outlines, too: for pages that
// are mirrored, where text would be found back to front.
func (s *Setter) Outlined(text string) *Line {
	l := s.Set(text)
	if !l.plain {
		return l
	}
	if o, ok := s.outlines[text]; ok {
		return o
	}
	o := &Line{scale: 1, Missing: l.Missing}
	s.draw(o, []rune(l.shown), plainFeatures...)
	s.outlines[text] = o
	return o
}

// plainFeatures set outlines as wide as the text that they stand for.
var plainFeatures = []shaping.FontFeature{{Tag: ot.MustNewTag("kern")}, {Tag: ot.MustNewTag("liga")}}

func (s *Setter) set(text string) *Line {
	l := &Line{scale: 1}
	runes := []rune(text)
	for i, r := range runes {
		if !s.shows(r) {
			if !slices.Contains(l.Missing, r) {
				l.Missing = append(l.Missing, r)
			}
			runes[i] = missingSign
		}
	}
	if s.isPlain(runes) {
		l.plain, l.text, l.shown, l.widthEM = true, string(runes), string(runes), s.plainWidth(runes)
		return l
	}
	s.draw(l, runes)
	return l
}

// isPlain reports whether text on the page shows the letters as they are to be:
// Latin, Greek and Cyrillic without loose marks.
func (s *Setter) isPlain(runes []rune) bool {
	for _, r := range runes {
		if r > 0xFFFF || unicode.In(r, unicode.M, unicode.Cf) || !s.has(plainFont, r) ||
			!unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Common) {
			return false
		}
	}
	return true
}

// plainWidth is in ems.
func (s *Setter) plainWidth(runes []rune) float64 {
	f := s.face(plainFont)
	var units float64
	for _, r := range runes {
		g, _ := f.NominalGlyph(r)
		units += float64(f.HorizontalAdvance(g))
	}
	return units / float64(f.Upem())
}

// draw joins, orders and outlines the letters.
func (s *Setter) draw(l *Line, runes []rune, features ...shaping.FontFeature) {
	var p outliner
	var shown strings.Builder
	for _, run := range visualRuns(runes) {
		letters := withoutFormat(runes[run.Start:run.End])
		outputs := s.shape(runes, run, features...)
		if run.IsLeftToRight() {
			shown.WriteString(letters)
		} else {
			shown.WriteString(xbidi.ReverseString(letters)) // brackets, too
			slices.Reverse(outputs)
		}
		for i := range outputs {
			p.add(&outputs[i])
		}
	}
	l.text, l.shown, l.path = withoutFormat(runes), shown.String(), p.path.String()
	l.scale = p.scale()
	l.widthEM = float64(p.x*l.scale) / unitsPerEM
}

// withoutFormat returns letters without the marks that only steer them.
func withoutFormat(runes []rune) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, string(runes))
}

// shape joins and places the letters of a run, in pieces of one script and font,
// in the order of the text.
func (s *Setter) shape(runes []rune, run bidi.Run, features ...shaping.FontFeature) []shaping.Output {
	direction := di.DirectionLTR
	if !run.IsLeftToRight() {
		direction = di.DirectionRTL
	}
	in := shaping.Input{Text: runes, RunStart: run.Start, RunEnd: run.End, Direction: direction,
		Size: fixed.I(unitsPerEM), FontFeatures: features}
	var segmenter shaping.Segmenter
	var all []shaping.Output
	for _, script := range segmenter.Split(in, noFont{s.face(plainFont)}) {
		script.Direction = direction
		for _, piece := range shaping.SplitByFontGlyphs(script, s.facesFor(runes[script.RunStart:script.RunEnd])) {
			all = append(all, s.shaper.Shape(piece))
		}
	}
	return all
}

// noFont leaves the choice of fonts for later.
type noFont struct{ any *font.Face }

func (n noFont) ResolveFace(rune) *font.Face { return n.any }
