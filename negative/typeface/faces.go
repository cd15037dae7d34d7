package typeface

import (
	"slices"
	"unicode"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/harfbuzz"
)

// face returns a font for use by this setter alone.
func (s *Setter) face(id fontID) *font.Face {
	if s.faces[id] == nil {
		s.faces[id] = font.NewFace(loaded[id]())
	}
	return s.faces[id]
}

// has reports whether a font shows a letter.
func (s *Setter) has(id fontID, r rune) bool {
	g, ok := s.face(id).NominalGlyph(r)
	return ok && g != 0
}

// lastFont is asked for what no font before it has.
var lastFont = fontID(len(fonts) - 1)

// generalFonts are asked for letters of any script.
var generalFonts = []fontID{plainFont, widerFont, lastFont}

// ownFont returns the font of a letter's script. Vowel marks, digits and signs
// that several scripts share belong to none: where no general font has such a
// letter, it is the first font that does.
func (s *Setter) ownFont(r rune) (fontID, bool) {
	if id, ok := fontOfScript(r); ok {
		return id, true
	}
	if s.hasAny(generalFonts, r) || harfbuzz.IsDefaultIgnorable(r) {
		return 0, false
	}
	if id, ok := s.shared[r]; ok {
		return id, id != 0
	}
	for id := scriptFont; id <= lastFont; id++ {
		if s.has(id, r) {
			s.shared[r] = id
			return id, true
		}
	}
	s.shared[r] = 0
	return 0, false
}

// fontOfScript returns the font of a letter's script, and whether there is one.
func fontOfScript(r rune) (fontID, bool) {
	if r < 0x0530 { // Latin, Greek, Cyrillic and what they share
		return 0, false
	}
	for id := scriptFont; id <= lastFont; id++ {
		if unicode.In(r, fonts[id].scripts...) {
			return id, true
		}
	}
	return 0, false
}

func (s *Setter) hasAny(ids []fontID, r rune) bool {
	return slices.ContainsFunc(ids, func(id fontID) bool { return s.has(id, r) })
}

// shows reports whether any font shows a letter, or it is none to be seen. Fonts
// of other scripts are not read for a letter that has one.
func (s *Setter) shows(r rune) bool {
	if harfbuzz.IsDefaultIgnorable(r) {
		return true
	}
	if own, ok := s.ownFont(r); ok && s.has(own, r) {
		return true
	}
	return s.hasAny(generalFonts, r)
}

// facesFor returns the fonts for a run of one script: the first that shows all
// of it, else all that may show some, in order.
func (s *Setter) facesFor(run []rune) []*font.Face {
	ids := s.idsFor(run)
	var all []*font.Face
	for _, id := range ids {
		if s.hasAll(id, run) {
			return []*font.Face{s.face(id)}
		}
		all = append(all, s.face(id))
	}
	return all
}

func (s *Setter) hasAll(id fontID, run []rune) bool {
	return !slices.ContainsFunc(run, func(r rune) bool { return !harfbuzz.IsDefaultIgnorable(r) && !s.has(id, r) })
}

// idsFor returns the fonts to ask, those of the run's scripts first. Marks go to
// a font that knows their places.
func (s *Setter) idsFor(run []rune) []fontID {
	var ids []fontID
	for _, r := range run {
		if id, ok := s.ownFont(r); ok && !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	general := generalFonts
	if slices.ContainsFunc(run, func(r rune) bool { return unicode.Is(unicode.Mn, r) }) {
		general = []fontID{widerFont, plainFont, lastFont}
	}
	for _, id := range general {
		if !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	return ids
}
