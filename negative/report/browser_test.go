package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/testdata/outside"
)

// opened writes a page into a file and opens that in Chromium.
func opened(t *testing.T, p Page) *outside.WebPage {
	t.Helper()
	file := filepath.Join(t.TempDir(), "a page, 100 % full.html")
	if err := os.WriteFile(file, written(t, p), 0o644); err != nil {
		t.Fatal(err)
	}
	return outside.OpenWebPage(t, file)
}

// screens are those that a page is looked at on.
var screens = []struct {
	width int
	dark  bool
}{{360, false}, {360, true}, {640, false}, {641, false}, {1280, false}, {1280, true}}

// In Chromium (Debian package chromium) the page works with keys alone, tells
// screen readers what it is, fits screens and paper, says nothing on the console
// and asks for nothing but itself.
func TestPageInBrowser(t *testing.T) {
	page := opened(t, samplePage())
	checkKeyboard(t, page)
	checkScreens(t, page)
	checkScreenReader(t, page)
	checkPaper(t, page)
	if all := page.Complaints(); len(all) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(all, "\n"))
	}
	if all := page.Requests(); len(all) != 1 || !strings.HasPrefix(all[0], "file:") {
		t.Errorf("the page asked for %q, want itself alone", all)
	}
}

// checkScreens looks at the page on every screen.
func checkScreens(t *testing.T, page *outside.WebPage) {
	t.Helper()
	for _, s := range screens {
		page.Look(s.width, 800, s.dark)
		var width int
		page.Evaluate("document.documentElement.scrollWidth", &width)
		if width != s.width {
			t.Errorf("at %d pixels the page is %d wide", s.width, width)
		}
		checkFigures(t, page, s.width)
		checkContrast(t, page, fmt.Sprintf("%d pixels, dark %v", s.width, s.dark))
		checkScreenshot(t, page.Screenshot(), s.width, s.dark)
	}
}

// checkFigures: of each figure's two drawings one shows, its letters are not
// smaller than 10 pixels, and none of them leaves the drawing or meets another.
func checkFigures(t *testing.T, page *outside.WebPage, width int) {
	t.Helper()
	var faults []string
	page.Evaluate(`(() => {
  const faults = [];
  for (const figure of document.querySelectorAll('figure')) {
    const shown = [...figure.querySelectorAll('svg.wide, svg.narrow')].filter(s => getComputedStyle(s).display != 'none');
    const name = figure.querySelector('title').textContent;
    if (shown.length != 1) { faults.push(name + ': ' + shown.length + ' drawings show'); continue; }
    const room = shown[0].getBoundingClientRect();
    const scale = room.width / shown[0].viewBox.baseVal.width;
    if (13 * scale < 10) faults.push(name + ': letters of ' + 13 * scale + ' pixels');
    const boxes = [];
    for (const text of shown[0].querySelectorAll('text')) {
      const b = text.getBoundingClientRect();
      if (b.left < room.left - 1 || b.right > room.right + 1 || b.top < room.top - 3 || b.bottom > room.bottom + 3)
        faults.push(name + ': ' + text.textContent + ' leaves the drawing');
      for (const o of boxes)
        if (b.left < o.b.right - 1 && o.b.left < b.right - 1 && b.top < o.b.bottom - 5 && o.b.top < b.bottom - 5)
          faults.push(name + ': ' + text.textContent + ' meets ' + o.text.textContent);
      boxes.push({b, text});
    }
  }
  return faults;
})()`, &faults)
	for _, f := range faults {
		t.Errorf("%d pixels: %s", width, f)
	}
}

// checkContrast takes the colours of all letters and of what lies behind them as
// the browser shows them.
func checkContrast(t *testing.T, page *outside.WebPage, where string) {
	t.Helper()
	var seen []struct{ Text, Ink, Ground string }
	page.Evaluate(`(() => {
  const out = [], ground = e => {
    for (; e; e = e.parentElement) {
      const c = getComputedStyle(e).backgroundColor;
      if (c != 'rgba(0, 0, 0, 0)') return c;
    }
    return 'none';
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const e = walker.currentNode.parentElement;
    if (!walker.currentNode.textContent.trim() || !e.getClientRects().length) continue;
    const style = getComputedStyle(e);
    out.push({Text: walker.currentNode.textContent, Ink: e instanceof SVGElement ? style.fill : style.color, Ground: ground(e)});
  }
  return out;
})()`, &seen)
	if len(seen) < 100 {
		t.Errorf("%s: only %d texts show", where, len(seen))
	}
	for _, s := range seen {
		ink, ground := rgbOf(t, s.Ink), rgbOf(t, s.Ground)
		if c := contrast(ink, ground); c < 4.5 {
			t.Errorf("%s: %q has a contrast of %.2f (%s on %s)", where, s.Text, c, s.Ink, s.Ground)
		}
	}
}

// rgbOf reads a colour as browsers write it.
func rgbOf(t *testing.T, text string) color.NRGBA {
	t.Helper()
	c := color.NRGBA{A: 255}
	if _, err := fmt.Sscanf(text, "rgb(%d, %d, %d)", &c.R, &c.G, &c.B); err != nil {
		t.Fatalf("colour %q: %v", text, err)
	}
	return c
}

// checkScreenshot looks for the colours of the theme in the picture: the ground
// over most of it, lines, and letters.
func checkScreenshot(t *testing.T, shot []byte, width int, dark bool) {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("ACTINIC_PLOTS"); dir != "" {
		os.WriteFile(filepath.Join(dir, fmt.Sprintf("screen-%d-%v.png", width, dark)), shot, 0o644)
	}
	if img.Bounds().Dx() != width || img.Bounds().Dy() < 2000 {
		t.Fatalf("a picture of %v", img.Bounds())
	}
	colours := themeColours(t, map[bool]string{true: "dark", false: "light"}[dark])
	for name, share := range map[string]float64{"paper": 0.5, "panel": 0.01, "text": 0.001, "line-0": 0.0005, "accent": 0.0001} {
		if n := float64(count(img, colours[name])) / float64(area(img)); n < share {
			t.Errorf("%d pixels, dark %v: --%s covers %.5f of the picture, at least %.5f expected", width, dark, name, n, share)
		}
	}
}

func area(img image.Image) int { return img.Bounds().Dx() * img.Bounds().Dy() }

// checkKeyboard: the first press of Tab shows a way past the contents; tables are
// reached, and links lead somewhere.
func checkKeyboard(t *testing.T, page *outside.WebPage) {
	t.Helper()
	page.Look(360, 800, false)
	active := func() string {
		var name string
		page.Evaluate(`(e => e.className || e.id || e.getAttribute('href'))(document.activeElement)`, &name)
		return name
	}
	page.Press("Tab")
	var top float64
	page.Evaluate("document.activeElement.getBoundingClientRect().top", &top)
	if active() != "skip" || top < 0 {
		t.Errorf("the first Tab reaches %q at %.0f pixels, want the way past the contents in sight", active(), top)
	}
	page.Press("Enter")
	if active() != "main" {
		t.Errorf("the way past the contents leads to %q", active())
	}
	page.Press("Tab")
	if active() != "scroll" {
		t.Errorf("after the contents Tab reaches %q, want the table", active())
	}
	var wrong int
	page.Evaluate(`[...document.querySelectorAll('a')].filter(a => !document.getElementById(a.getAttribute('href').slice(1))).length`, &wrong)
	if wrong > 0 {
		t.Errorf("%d links lead nowhere", wrong)
	}
}

// checkScreenReader: one main part, headings that skip no level, figures and tables
// with names.
func checkScreenReader(t *testing.T, page *outside.WebPage) {
	t.Helper()
	page.Look(1280, 800, false)
	var tree struct {
		Nodes []struct {
			Ignored    bool
			Role, Name struct{ Value json.RawMessage }
			Properties []struct {
				Name  string
				Value struct{ Value json.RawMessage }
			}
		}
	}
	page.Call("Accessibility.getFullAXTree", nil, &tree)
	found, level := map[string]int{}, 0
	for _, n := range tree.Nodes {
		var role, name string
		json.Unmarshal(n.Role.Value, &role)
		json.Unmarshal(n.Name.Value, &name)
		if n.Ignored {
			continue
		}
		found[role]++
		for _, p := range n.Properties {
			if role != "heading" || p.Name != "level" {
				continue
			}
			var now int
			json.Unmarshal(p.Value.Value, &now)
			if now > level+1 {
				t.Errorf("heading %q of level %d follows level %d", name, now, level)
			}
			level = now
		}
		if name == "" && (role == "heading" || role == "image" || role == "region" || role == "table" || role == "link") {
			t.Errorf("a %s without a name", role)
		}
	}
	for role, want := range map[string]int{"main": 1, "banner": 1, "contentinfo": 1, "navigation": 1, "image": 6, "table": 1, "columnheader": 4, "rowheader": 3} {
		if found[role] != want {
			t.Errorf("%d of %s, want %d", found[role], role, want)
		}
	}
}

// checkPaper: on paper the page is black on white, whatever the screen's scheme,
// and its text is text.
func checkPaper(t *testing.T, page *outside.WebPage) {
	t.Helper()
	page.Look(1280, 800, true)
	file := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(file, page.PDF(), 0o644); err != nil {
		t.Fatal(err)
	}
	text := string(outside.Run(t, "pdftotext", "poppler-utils", "-layout", file, "-"))
	for _, want := range []string{"Calibration of an invented first cyanotype", "What to do next", "Characteristic curve", "UV density, net above clear film", "3 March 2026"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on paper", want)
		}
	}
	if strings.Contains(text, "Skip to the report") {
		t.Error("what is for keys alone is on paper")
	}
	outside.Run(t, "pdftocairo", "poppler-utils", "-png", "-r", "60", file, strings.TrimSuffix(file, ".pdf"))
	sheets, _ := filepath.Glob(strings.TrimSuffix(file, ".pdf") + "-*.png")
	if len(sheets) < 3 || len(sheets) > 9 {
		t.Errorf("%d sheets of paper", len(sheets))
	}
	for _, name := range sheets {
		checkSheet(t, name)
	}
}

// checkSheet holds that a printed sheet is white for the most part.
func checkSheet(t *testing.T, name string) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("ACTINIC_PLOTS"); dir != "" {
		os.WriteFile(filepath.Join(dir, filepath.Base(name)), data, 0o644)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if n := float64(count(img, color.White)) / float64(area(img)); n < 0.7 {
		t.Errorf("%s: %.2f of the sheet is white", filepath.Base(name), n)
	}
}
