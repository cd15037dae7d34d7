package scan

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/testdata/outside"
)

// gridOfCode is a code seen perfectly.
func gridOfCode(c pattern) codeGrid {
	var g codeGrid
	for i := range c {
		for j := range c[i] {
			g.tone[i][j] = float64(c[i][j])
		}
	}
	return g
}

func TestCodeIsReadUnderEveryMask(t *testing.T) {
	drawn, ok := drawCode("7KQZ03WX")
	if !ok {
		t.Fatal("not drawn")
	}
	for mask, c := range drawn {
		g := gridOfCode(c)
		if text, ok := g.decode(); !ok || text != "7KQZ03WX" {
			t.Errorf("mask %d: read %q", mask, text)
		}
		if k := g.says([]string{"AAAAAAAA", "7KQZ03WX", "7KQZ03WY"}); k != 1 {
			t.Errorf("mask %d: taken for text %d", mask, k)
		}
		if k := g.says([]string{"AAAAAAAA", "too long a text for a code of this size", ""}); k != -1 {
			t.Errorf("mask %d: taken for text %d of others", mask, k)
		}
		var back codeGrid // seen from behind
		for i := range c {
			for j := range c[i] {
				back.tone[i][j] = float64(c[j][i])
			}
		}
		if text, ok := back.decode(); ok {
			t.Errorf("mask %d: read %q from behind", mask, text)
		}
		if k := back.says([]string{"7KQZ03WX"}); k != -1 {
			t.Errorf("mask %d: taken for its own from behind", mask)
		}
	}
}

// What codes are compared with is what another program reads as ISO/IEC 18004:
// zbarimg.
func TestCodesAgreeWithZBar(t *testing.T) {
	drawn, _ := drawCode("7KQZ03WX")
	for mask, c := range drawn {
		const cell, quiet = 4, 4
		side := (modules + 2*quiet) * cell
		var pgm bytes.Buffer
		fmt.Fprintf(&pgm, "P5\n%d %d\n255\n", side, side)
		for y := range side {
			for x := range side {
				i, j := y/cell-quiet, x/cell-quiet
				v := byte(255)
				if i >= 0 && j >= 0 && i < modules && j < modules && c[i][j] > 0 {
					v = 0
				}
				pgm.WriteByte(v)
			}
		}
		name := filepath.Join(t.TempDir(), "code.pgm")
		if err := os.WriteFile(name, pgm.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		if out := outside.Run(t, "zbarimg", "zbar-tools", "--quiet", "--raw", name); !strings.Contains(string(out), "7KQZ03WX") {
			t.Errorf("mask %d: zbarimg reads %q", mask, out)
		}
	}
}

func TestIsChartCode(t *testing.T) {
	for text, want := range map[string]bool{
		"7KQZ03WX": true, "": false, "7KQZ03W": false, "7KQZ03WXY": false,
		"7KQZ03WI": false, "7kqz03wx": false, "7KQZ 3WX": false, "ÄÖÜß": false,
	} {
		if got := isChartCode(text); got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}
