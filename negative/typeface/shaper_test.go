package typeface

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"unicode"

	"actinic/testdata/outside"

	"github.com/go-text/typesetting/shaping"
)

// Letters are joined, ordered and placed as by the reference implementation of
// OpenType shaping (hb-shape of HarfBuzz, another code base in another language),
// glyph by glyph, in every script.
func TestShapedAsByReference(t *testing.T) {
	s := NewSetter()
	for _, n := range names {
		runes := []rune(Clean(n.text))
		runs := visualRuns(runes)
		if n.script == "Han" || len(runs) != 1 || mixed(runes) {
			continue // several runs: each is set by itself
		}
		outputs := s.shape(runes, runs[0])
		if len(outputs) != 1 {
			t.Errorf("%s: %q is set in %d fonts", n.script, n.text, len(outputs))
			continue
		}
		got, want := ownGlyphs(outputs[0]), referenceGlyphs(t, s, outputs[0], string(runes))
		if got != want {
			t.Errorf("%s, %q: got %s\nwant %s", n.script, n.text, got, want)
		}
	}
}

func mixed(runes []rune) bool {
	for _, r := range runes {
		if unicode.In(r, unicode.Han) {
			return true
		}
	}
	return false
}

// ownGlyphs writes glyphs with their places in the font's own units.
func ownGlyphs(out shaping.Output) string {
	unit := float64(out.Face.Upem()) / unitsPerEM
	text := ""
	for _, g := range out.Glyphs {
		text += fmt.Sprintf("%d(%.0f %.0f %.0f)", g.GlyphID, inUnits(int(g.XOffset))*unit, inUnits(int(g.YOffset))*unit, inUnits(int(g.Advance))*unit)
	}
	return text
}

var glyphPattern = regexp.MustCompile(`(\d+)(?:@(-?\d+),(-?\d+))?\+(-?\d+)`)

func referenceGlyphs(t *testing.T, s *Setter, out shaping.Output, text string) string {
	t.Helper()
	path := fontFileOf(t, s, out)
	answer := outside.Run(t, "hb-shape", "libharfbuzz-bin", "--no-glyph-names", "--no-clusters", path, text)
	all := ""
	for _, m := range glyphPattern.FindAllStringSubmatch(string(answer), -1) {
		var v [3]int
		for i := range v {
			v[i], _ = strconv.Atoi(m[i+2])
		}
		all += fmt.Sprintf("%s(%d %d %d)", m[1], v[0], v[1], v[2])
	}
	return all
}

// fontFileOf unpacks the font of a setter's output for the reference.
func fontFileOf(t *testing.T, s *Setter, out shaping.Output) string {
	t.Helper()
	for id, f := range s.faces {
		if f != out.Face {
			continue
		}
		path := filepath.Join(t.TempDir(), "font.ttf")
		if err := os.WriteFile(path, fontData(fonts[id].name), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	t.Fatal("a font that is none of ours")
	return ""
}
