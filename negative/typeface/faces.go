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

// lastFont is asked for what no other font has.
var lastFont = fontID(len(fonts) - 1)

// ownFont returns the font of a letter's script, and whether there is one.
func ownFont(r rune) (fontID, bool) {
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

// shows reports whether any font shows a letter, or it is none to be seen. Fonts
// of other scripts are not read for it.
func (s *Setter) shows(r rune) bool {
	if harfbuzz.IsDefaultIgnorable(r) {
		return true
	}
	if own, ok := ownFont(r); ok && s.has(own, r) {
		return true
	}
	return s.has(plainFont, r) || s.has(widerFont, r) || s.has(lastFont, r)
}

// facesFor returns the fonts for a run of one script: the first that shows all
// of it, else all that may show some, in order.
func (s *Setter) facesFor(run []rune) []*font.Face {
	ids := idsFor(run)
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
func idsFor(run []rune) []fontID {
	var ids []fontID
	for _, r := range run {
		if id, ok := ownFont(r); ok && !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	general := []fontID{plainFont, widerFont, lastFont}
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
