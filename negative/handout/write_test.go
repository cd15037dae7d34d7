package handout

import (
	"bytes"
	"errors"
	"flag"
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/process/recipe"
	"actinic/testdata/outside"
)

var update = flag.Bool("update", false, "write the expected text of a handout anew")

func saved(t testing.TB, pdf []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "handouts.pdf")
	if err := os.WriteFile(name, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// flat joins lines and squeezes spaces, those that do not break too.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// pagesOf returns the text of each page in the order of drawing.
func pagesOf(t testing.TB, name string) []string {
	t.Helper()
	text := string(outside.Run(t, "pdftotext", "poppler-utils", "-raw", name, "-"))
	pages := strings.Split(strings.TrimSuffix(text, "\f"), "\f")
	for i := range pages {
		pages[i] = flat(pages[i])
	}
	return pages
}

// running returns the text as it runs on from page to page: without the foot,
// and without the head of pages that follow.
func running(t testing.TB, pages []string) string {
	t.Helper()
	foot := flat(recipe.StandingCaution())
	var parts []string
	for i, p := range pages {
		body, found := strings.CutSuffix(p, foot)
		if !found {
			t.Errorf("page %d does not end with the standing caution: %q", i+1, p[max(0, len(p)-200):])
		}
		if i > 0 {
			_, body, _ = strings.Cut(body, pageText(i+1, len(pages)))
		}
		parts = append(parts, body)
	}
	return flat(strings.Join(parts, " "))
}

// TestEverythingIsSaid: every step, every hazard statement in words, every pair,
// every caution, on A4 and on letter paper, and the standing caution on each page.
func TestEverythingIsSaid(t *testing.T) {
	for i, c := range recipe.Cards() {
		h := sample(t, c.ID, "Ngaio Tūhoe-Marsh")
		pdf, placed := pdfOf(t, []Handout{h}, Options{Paper: papers[i%len(papers)], Title: "Spring class", Date: monday})
		pages := pagesOf(t, saved(t, pdf))
		if len(pages) != placed[0].Pages || placed[0].Page != 1 {
			t.Errorf("%s: %d pages, said to be %+v", c.ID, len(pages), placed[0])
		}
		text := running(t, pages)
		for _, want := range said(t, c) {
			if !strings.Contains(text, flat(want)) {
				t.Errorf("%s: the handout does not say %q", c.ID, want)
			}
		}
		for _, p := range pages {
			if !strings.Contains(p, "Ngaio Tūhoe-Marsh") {
				t.Errorf("%s: a page without the person's name", c.ID)
			}
		}
	}
}

// said is what a handout of the card must say.
func said(t *testing.T, c recipe.Card) []string {
	want := []string{c.FullName, c.ShortCaution(), "8 min", "first black 4 min 50 s ± 10 s", "203 x 254 mm, sheet 1", "2 copies, sheet 1 and 2"}
	for _, list := range [][]recipe.Statement{c.Steps, c.DryDown, c.LightCautions(), recipe.DisposalCautions()} {
		for _, s := range list {
			want = append(want, s.Text)
		}
	}
	for _, p := range c.Incompatible() {
		want = append(want, p.A.Text+" with "+p.B.Text+": "+p.Result)
	}
	for _, f := range c.WatchFor() {
		want = append(want, capital(f.Sign)+": "+f.Cause+". Try: "+f.Remedy)
	}
	for _, use := range c.Chemicals {
		k, err := recipe.FindChemical(use.ID)
		if err != nil {
			t.Fatal(err)
		}
		want = append(append(want, k.Name, use.Role, k.Disposal, k.Note), k.KeepAwayFrom...)
		labels := []recipe.Variant{{Pictograms: k.Pictograms, Statements: k.Statements}}
		for _, v := range append(labels, k.Variants...) {
			for _, code := range v.Statements {
				s, _ := recipe.FindHazardStatement(code)
				want = append(want, s.Code+" "+s.Text)
			}
			for _, p := range v.Pictograms {
				want = append(want, recipe.PictogramName(p))
			}
		}
		for _, item := range k.Protection {
			if item != noneNeeded {
				want = append(want, item)
			}
		}
	}
	return want
}

// TestQuantities: what the coating plan says is on the page; a material that comes
// coated has no quantities, and one without a recipe says why.
func TestQuantities(t *testing.T) {
	text := func(id string) string {
		pdf, _ := pdfOf(t, []Handout{sample(t, id, "")}, Options{})
		return running(t, pagesOf(t, saved(t, pdf)))
	}
	// 0.203 x 0.254 m2 x 58.1 ml/m2 / 0.85, in two equal parts, 20 drops to the ml
	blue := text("cyanotype_classic")
	for _, want := range []string{"203 x 254 mm, 1 print", "1.76 ml (35 drops) A, iron", "120 x 180 mm, 2 prints", "0.74 ml (15 drops) B, ferricyanide; 1.48 ml in all"} {
		if !strings.Contains(blue, want) {
			t.Errorf("cyanotype: no %q in %q", want, blue)
		}
	}
	if got := text("polymer_gravure"); strings.Contains(got, "Measure out") {
		t.Error("a plate that comes coated has quantities")
	}
	if got := text("chrysotype"); !strings.Contains(got, "Measure out") || !strings.Contains(got, "are not on file") {
		t.Errorf("chrysotype does not say why it has no quantities")
	}
}

// TestText holds a whole handout to what it said when it was last looked at.
func TestText(t *testing.T) {
	pdf, _ := pdfOf(t, []Handout{sample(t, "vandyke", "Ngaio Tūhoe-Marsh")}, Options{Title: "Spring class", Date: monday})
	got := outside.Run(t, "pdftotext", "poppler-utils", "-raw", saved(t, pdf), "-")
	golden := filepath.Join("testdata", "vandyke.txt")
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("the text has changed; look at it, then run with -update:\n%s", got)
	}
}

// TestNothingLeavesThePage renders with another program and looks at margins and
// at the gutter between the columns.
func TestNothingLeavesThePage(t *testing.T) {
	for i, id := range []string{"platinum_dop", "gum", "anthotype"} {
		o := Options{Paper: papers[i%2], Title: strings.Repeat("Evening class ", 20), Date: monday}
		h := sample(t, id, strings.Repeat("Wilhelmina-", 30))
		h.Films[0].Name = strings.Repeat("W", 300)
		pdf, placed := pdfOf(t, []Handout{h}, o)
		name := saved(t, pdf)
		outside.Run(t, "pdftocairo", "poppler-utils", "-r", "100", "-gray", "-png", name, name)
		rendered, err := filepath.Glob(name + "-*.png")
		if err != nil || len(rendered) != placed[0].Pages {
			t.Fatalf("%v, %v", rendered, err)
		}
		for page, file := range rendered {
			checkWhite(t, id, file, o, page)
		}
	}
}

func checkWhite(t *testing.T, id, file string, o Options, page int) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	const px = 100 / 25.4
	white := func(what string, x1, y1, x2, y2 float64) {
		for y := int(y1 * px); y < int(y2*px); y++ {
			for x := int(x1 * px); x < int(x2*px); x++ {
				if v, _, _, _ := img.At(x, y).RGBA(); v < 0xFFFF {
					t.Errorf("%s, page %d: ink in %s at %.1f, %.1f mm", id, page+1, what, float64(x)/px, float64(y)/px)
					return
				}
			}
		}
	}
	w, h, edge := o.Paper.WidthMM, o.Paper.HeightMM, marginMM-0.5
	white("the left margin", 0, 0, edge, h)
	white("the right margin", w-edge, 0, w, h)
	white("the top margin", 0, 0, w, marginMM-1)
	white("the bottom margin", 0, h-bottomMM+1.5, w, h)
	if page > 0 {
		b := book{o: o, pen: newPen(o)}
		b.foot = b.planFoot()
		left := marginMM + b.columnMM()
		white("the gutter", left+0.5, marginMM+nextHeadMM, left+gutterMM-0.5, b.footTop()-0.5)
	}
}

// TestManyFilms: twenty films show fifteen prints and say how many more.
func TestManyFilms(t *testing.T) {
	h := sample(t, "cyanotype_classic", "")
	f := h.Films[0]
	h.Films = nil
	for range 20 {
		h.Films = append(h.Films, f)
	}
	pdf, _ := pdfOf(t, []Handout{h}, Options{})
	if text := pagesOf(t, saved(t, pdf))[0]; !strings.Contains(text, "and 5 more") || strings.Count(text, "203 x 254 mm, sheet 1") != 15 {
		t.Errorf("no count of films that have no room: %q", text)
	}
}

// TestNames: names of any script are found on the page; what would steer a page
// is gone.
func TestNames(t *testing.T) {
	for in, want := range map[string]string{
		"अनुष्का देसाई": "अनुष्का", "王小明": "王小明", "Łucja Żak": "Łucja Żak",
		"A\u202enn\nExample": "Ann Example", "O'Hara (\\)": "O'Hara (\\)",
	} {
		h := sample(t, "cyanotype_classic", in)
		pdf, _ := pdfOf(t, []Handout{h}, Options{})
		name := saved(t, pdf)
		if text := pagesOf(t, name)[0]; !strings.Contains(strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(want, " ", "")) {
			t.Errorf("%q: the page says %q", in, text[:60])
		}
		outside.Run(t, "qpdf", "qpdf", "--check", name)
	}
}

func TestSameBytes(t *testing.T) {
	all := []Handout{sample(t, "gum", "王小明"), sample(t, "albumen", "Ann Example")} // the same prints twice
	first, placed := pdfOf(t, all, Options{Date: monday})
	for range 5 {
		if again, _ := pdfOf(t, all, Options{Date: monday}); !bytes.Equal(first, again) {
			t.Fatal("the same handouts give other bytes")
		}
	}
	if placed[1].Page != 1+placed[0].Pages {
		t.Errorf("placed at %+v", placed)
	}
	if b, _ := pdfOf(t, all, Options{}); !bytes.Contains(b, []byte("D:19700101000000")) {
		t.Error("no date gives another date than 1970-01-01")
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestWriteReportsAnError(t *testing.T) {
	if _, err := Write(brokenWriter{}, []Handout{sample(t, "gum", "")}, Options{}); !errors.Is(err, errBroken) {
		t.Errorf("%v", err)
	}
}
