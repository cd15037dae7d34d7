package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// samplePage is an invented report with one section of each kind.
func samplePage() Page {
	f := sampleFigures()
	figure := func(name string) *Figure { one := f[name]; return &one }
	return Page{
		Title: "Calibration of an invented first cyanotype",
		Lead:  []string{"The curve is known to ±0.6 L* in the middle tones, from 121 readings of one print. The ink reaches paper white."},
		Next: []string{
			"Make a negative: `actinic negative IN --calibration blue.calibration.json -o FILM`",
			"Print it with the exposure of the chart, 8 min, and hold the print against its aim with `actinic check`.",
			"For less doubt, print the second chart: `actinic chart next --calibration blue.calibration.json -o second`",
		},
		Sections: []Section{
			{Heading: "What was measured", Text: []string{"A ramp of 41 levels of film ink, each printed twice, and a step tablet of 21 steps, on one print."},
				Table: &Table{Caption: "What the readings say", Head: []string{"Quantity", "Value", "In stops", "Meaning"}, Numbers: []bool{false, true, true, false},
					Rows: [][]string{{"Exposure scale", "1.62 ± 0.03", "5.4", "from the first tone to 90 % of black"},
						{"Needed range", "1.98 ± 0.04", "6.6", "from paper white to black"}, {"Ink range", "2.31 ± 0.05", "7.7", "UV density of full ink"}}}},
			{Heading: "Characteristic curve", Text: []string{"How the coated paper answers to light."}, Figure: figure("characteristic"),
				Caption:  "Print density rises from the paper's own to its maximum over about six stops.",
				Warnings: []string{"Step 14 of tablet.csv does not fit (+6.2 L*) and was given little weight: look for dust or a finger mark there."}},
			{Heading: "UV density of the ink", Figure: figure("uvdensity"), Caption: "What the ink stops of the light, by film ink."},
			{Heading: "The curve", Figure: figure("curve")},
			{Heading: "The print to expect", Figure: figure("fallsshort")},
			{Heading: "Ink colours", Figure: figure("colours"), Caption: "The best ink colour stands on top."},
			{Heading: "Two inks", Figure: figure("two inks")},
		},
		Foot: []string{"Made from ramp.csv, SHA-256 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", "3 March 2026, 10:00 UTC"},
	}
}

func written(t *testing.T, p Page) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePage(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestPageToLookAt writes the sample page to the folder that ACTINIC_PLOTS names.
func TestPageToLookAt(t *testing.T) {
	dir := os.Getenv("ACTINIC_PLOTS")
	if dir == "" {
		t.Skip("ACTINIC_PLOTS names no folder")
	}
	if err := os.WriteFile(filepath.Join(dir, "page.html"), written(t, samplePage()), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestPageGivesTheSameBytes(t *testing.T) {
	if !bytes.Equal(written(t, samplePage()), written(t, samplePage())) {
		t.Error("the page differs from one time to the next")
	}
}

// A page needs nothing else: no address but places in itself, no script, no style
// from elsewhere; and its security policy would let none through.
func TestPageNeedsNothingElse(t *testing.T) {
	text := string(written(t, samplePage()))
	for _, never := range []string{"<script", " src=", "url(", "@import", "http:", "https:", "<link", "<img", "<iframe", "style=", " on"} {
		for _, tag := range regexp.MustCompile(`<[^>]*>`).FindAllString(text, -1) {
			if strings.Contains(tag, never) && !strings.Contains(tag, "http-equiv") {
				t.Errorf("%s has %q", tag, never)
			}
		}
		if strings.Contains(pageStyle, never) && never != " on" {
			t.Errorf("the style has %q", never)
		}
	}
	for _, href := range regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		if !strings.HasPrefix(href[1], "#") {
			t.Errorf("a link to %s", href[1])
		}
	}
	sum := sha256.Sum256([]byte(text[strings.Index(text, "<style>")+7 : strings.Index(text, "</style>")]))
	if want := `content="default-src 'none'; style-src 'sha256-` + base64.StdEncoding.EncodeToString(sum[:]); !strings.Contains(html.UnescapeString(text), want) {
		t.Errorf("no security policy that begins with %s", want)
	}
}

// inAll is a page with one text in every place that takes any.
func inAll(s string) Page {
	line := Series{Name: s, X: []float64{0, 1}, Y: []float64{0, 1}}
	f := Figure{Title: s, X: Axis{Label: "x"}, Y: Axis{Label: "y"}, Series: []Series{line}, Guides: []Guide{GuideAtX(s, 0.5), GuideAtY(s, 0.5)},
		Points: []Points{{Name: s, X: []float64{0.5}, Y: []float64{0.5}}}}
	return Page{Title: "t" + s, Lead: []string{"t" + s}, Next: []string{"t" + s}, Foot: []string{"t" + s},
		Sections: []Section{{Heading: "t" + s, Text: []string{"t" + s}, Figure: &f, Caption: "t" + s, Warnings: []string{"t" + s},
			Table: &Table{Caption: "t" + s, Head: []string{s, s}, Rows: [][]string{{s, s}}}}}}
}

// Whatever a name holds, it makes no tag and ends none.
func TestPageEscapes(t *testing.T) {
	tags := func(s string) string {
		return strings.Join(regexp.MustCompile(`</?[a-zA-Z!][^ >]*`).FindAllString(string(written(t, inAll(s))), -1), " ")
	}
	want := tags("x")
	rapid.Check(t, func(rt *rapid.T) {
		s := strings.ReplaceAll(rapid.OneOf(rapid.String(), rapid.StringMatching("[a-z<>&\"'/=; -]{0,30}"), rapid.SampledFrom(nasty)).Draw(rt, "s"), "`", "")
		if got := tags(s); got != want {
			rt.Errorf("with %q the tags are %s", s, got)
		}
	})
	if text := string(written(t, inAll("<b>\x00\xff"))); strings.Contains(text, "\x00") || !utf8.ValidString(text) || !strings.Contains(text, "&lt;b&gt;\ufffd\ufffd") {
		t.Error("control characters and broken letters go through")
	}
}

var nasty = []string{"<script>alert(1)</script>", `"><svg onload=x>`, "</title></svg></style><p>", "]]>", "<!--", "&lt;", "' onfocus='x", "</table>"}

func TestPageSetsWhatIsToBeTyped(t *testing.T) {
	for in, want := range map[string]string{
		"run `actinic <IN>` now": "run <code>actinic &lt;IN&gt;</code> now",
		"a ` alone":              "a ` alone",
		"`a` and `b`":            "<code>a</code> and <code>b</code>",
		"plain & simple":         "plain &amp; simple",
		"`a -o <b> --c-d`":       "<code>a <span>-o</span> &lt;b&gt; <span>--c-d</span></code>",
	} {
		if got := string(typed(in)); got != want {
			t.Errorf("%q gives %q, want %q", in, got, want)
		}
	}
}

// Cautions that are all of a section need no heading of their own.
func TestPageOfCautions(t *testing.T) {
	warned := func(s Section) int {
		s.Heading, s.Warnings = "Safety", []string{"UV harms eyes."}
		return strings.Count(string(written(t, Page{Title: "t", Sections: []Section{s}})), "<h3>Mind</h3>")
	}
	if alone, after := warned(Section{}), warned(Section{Text: []string{"x"}}); alone != 0 || after != 1 {
		t.Errorf("%d headings over cautions alone, %d after a text, want 0 and 1", alone, after)
	}
}

func TestPageRefused(t *testing.T) {
	bad := sampleFigures()["curve"]
	bad.Series = []Series{{Name: "gap", X: []float64{0, 1}, Y: []float64{0, math.NaN()}}}
	section := func(s Section) Page { return Page{Title: "t", Sections: []Section{s}} }
	for name, c := range map[string]struct {
		page Page
		want string
	}{
		"no title":   {Page{Title: " "}, "without a title"},
		"no heading": {section(Section{Text: []string{"x"}}), "part-1 has no heading"},
		"figure":     {section(Section{Heading: "h", Figure: &bad}), "a finite number expected"},
		"head":       {section(Section{Heading: "h", Table: &Table{Caption: "c"}}), "needs a caption and a head"},
		"caption":    {section(Section{Heading: "h", Table: &Table{Head: []string{"a"}}}), "needs a caption and a head"},
		"row":        {section(Section{Heading: "h", Table: &Table{Caption: "c", Head: []string{"a", "b"}, Rows: [][]string{{"1"}}}}), "row 1 of table \"c\" has 1 cells, 2 expected"},
		"numbers":    {section(Section{Heading: "h", Table: &Table{Caption: "c", Head: []string{"a"}, Numbers: []bool{true, false}}}), "whether they hold numbers"},
		"too large":  {section(Section{Heading: "h", Text: []string{strings.Repeat("x", MostPageBytes)}}), "at most 600000 expected"},
	} {
		var b bytes.Buffer
		if err := WritePage(&b, c.page); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes were written", name, b.Len())
		}
	}
}

// Twenty thousand readings in each of four figures still make a page of moderate size.
func TestPageStaysSmall(t *testing.T) {
	line := rising("line", 5000, 0, 100, 0, 100, 1)
	var many Points
	for i := range 20000 {
		u := float64(i%10007) / 100
		many.X, many.Y = append(many.X, u), append(many.Y, u+float64(i%13)-6)
	}
	f := ExpectedPrint(line, line, []Points{many})
	p := Page{Title: "t"}
	for range 4 {
		p.Sections = append(p.Sections, Section{Heading: "h", Figure: &f})
	}
	if n := len(written(t, p)); n > MostPageBytes {
		t.Errorf("%d bytes", n)
	}
}
