package report

import (
	"fmt"
	"image/color"
	"math"
	"regexp"
	"strings"
	"testing"
)

// contrast is the contrast ratio of two colours (W3C, WCAG 2.2, "contrast ratio"
// and "relative luminance").
func contrast(a, b color.NRGBA) float64 {
	light, dark := luminance(a), luminance(b)
	if light < dark {
		light, dark = dark, light
	}
	return (light + 0.05) / (dark + 0.05)
}

func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// WCAG 2.2: black on white is 21:1. #767676 is the lightest grey that passes 4.5 on
// white and #949494 the lightest that passes 3 (known among practitioners; from
// memory).
func TestContrast(t *testing.T) {
	white := color.NRGBA{255, 255, 255, 255}
	if c := contrast(white, color.NRGBA{A: 255}); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white: %g", c)
	}
	for limit, grey := range map[float64]uint8{4.5: 0x76, 3: 0x94} {
		lighter := grey + 1
		if contrast(white, color.NRGBA{grey, grey, grey, 255}) < limit || contrast(white, color.NRGBA{lighter, lighter, lighter, 255}) >= limit {
			t.Errorf("grey %#x is not the lightest of %g", grey, limit)
		}
	}
}

// themeColours reads the variables of a theme from the page's style: light, dark
// or print.
func themeColours(t *testing.T, theme string) map[string]color.NRGBA {
	t.Helper()
	start := map[string]string{"light": ":root {", "dark": "(prefers-color-scheme: dark)", "print": "@media print"}[theme]
	_, rest, found := strings.Cut(pageStyle, start)
	if !found {
		t.Fatalf("no theme %s", theme)
	}
	if theme != "light" {
		_, rest, _ = strings.Cut(rest, ":root {")
	}
	block, _, _ := strings.Cut(rest, "}")
	out := map[string]color.NRGBA{}
	for _, m := range regexp.MustCompile(`--([a-z0-9-]+): #([0-9a-f]{6});`).FindAllStringSubmatch(block, -1) {
		c := color.NRGBA{A: 255}
		if _, err := fmt.Sscanf(m[2], "%02x%02x%02x", &c.R, &c.G, &c.B); err != nil {
			t.Fatal(err)
		}
		out[m[1]] = c
	}
	return out
}

// WCAG 2.2, 1.4.3 asks 4.5 of text and 1.4.11 asks 3 of what must be seen of
// graphics.
func TestThemesHaveContrast(t *testing.T) {
	for _, theme := range []string{"light", "dark", "print"} {
		c := themeColours(t, theme)
		if len(c) != 13 {
			t.Fatalf("%s: %d colours, want 13", theme, len(c))
		}
		for _, ground := range []string{"paper", "panel"} {
			for _, name := range []string{"text", "soft", "accent", "warn", "ink"} {
				if got := contrast(c[name], c[ground]); got < 4.5 {
					t.Errorf("%s: --%s on --%s: %.2f", theme, name, ground, got)
				}
			}
		}
		for _, name := range []string{"rule", "line-0", "line-1", "line-2", "line-3"} {
			if got := contrast(c[name], c["paper"]); got < 3 {
				t.Errorf("%s: --%s on --paper: %.2f", theme, name, got)
			}
		}
	}
}
