package sheet

import (
	"strings"
	"testing"
	"unicode"

	"actinic/testdata/outside"
)

// The people of a class are found on its sheets by who searches them, with the
// ink side down, where all is mirrored, and up.
func TestPeopleAreFound(t *testing.T) {
	people := []string{"Zoë Ångström", "Ελένη Ρήγα", "Ольга Ёжикова", "יעל לוי", "فاطمة الزهراء", "अनुष्का श्रीवास्तव", "কৃষ্ণা",
		"தமிழ்ச்செல்வி", "ณัฐธิดา ศรีสุข", "ნინო ბერიძე", "Անահիտ", "አበበ ቢቂላ", "王小明", "さくら アンナ", "김민준"}
	var items []Item
	for _, p := range people {
		it := item(60, 40)
		it.Person, it.Label = p, Label{Name: "tide.tif"}
		it.Open = open(imageForm{60, 40, 1, 8}, func(int, int, int) uint16 { return 0xFFFF })
		items = append(items, it)
	}
	for _, inkUp := range []bool{false, true} {
		opts := testOptions(t, "A3")
		opts.InkUp = inkUp
		pages, err := Layout(items, opts)
		if err != nil {
			t.Fatal(err)
		}
		text := letters(string(outside.Run(t, "pdftotext", "poppler-utils", saved(t, pages, opts), "-")))
		for _, want := range append([]string{"tide.tif", "60 x 40 mm", "sheet 1 of 1"}, people...) {
			if !strings.Contains(text, letters(want)) {
				t.Errorf("ink up %v: pdftotext does not find %q", inkUp, want)
			}
		}
		if len(pages[0].Notices) > 0 {
			t.Errorf("notices: %q", pages[0].Notices)
		}
	}
}

// letters leaves out spaces and marks of direction, of which readers make their
// own.
func letters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, text)
}

// A name stays on its own negative's width, whatever it is made of.
func TestHostileNamesStayOnTheirLabel(t *testing.T) {
	opts := testOptions(t, "A4")
	for _, person := range []string{strings.Repeat("W", 300), strings.Repeat("فاطمة ", 80), strings.Repeat("é\u0301\u0301\u0301\u0301", 100),
		"a\nb\rc\x00d", "../../x", "(\\) Tj ET Q BT <<>>", "\u202egnp.exe", "\U0001F468\u200D\U0001F469\u200D\U0001F467", "%s%n", "ﷺ﷽"} {
		it := item(60, 40)
		it.Person = person
		it.Open = open(imageForm{60, 40, 1, 8}, func(int, int, int) uint16 { return 0xFFFF })
		pages, err := Layout([]Item{it}, opts)
		if err != nil {
			t.Fatalf("%q: %v", person, err)
		}
		f := newFace()
		for _, line := range pages[0].Placements[0].block.label {
			if w := f.widthMM(line, labelPt); w > 60+1e-6 {
				t.Errorf("%.20q: a line of %.1f mm under a picture of 60 mm", person, w)
			}
		}
		outside.Run(t, "qpdf", "qpdf", "--check", saved(t, pages, opts))
	}
}

func TestMissingLettersAreNamed(t *testing.T) {
	it := item(60, 40)
	it.Person = "Ann \U0001F600\U0001F600 \U00020BB7"
	pages, err := Layout([]Item{it}, testOptions(t, "A4"))
	if err != nil {
		t.Fatal(err)
	}
	const want = "no built-in font has \U0001F600 (U+1F600), \U00020BB7 (U+20BB7): an empty box is printed instead"
	if got := strings.Join(pages[0].Notices, ";"); !strings.Contains(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
