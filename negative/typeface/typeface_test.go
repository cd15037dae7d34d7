package typeface

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"actinic/testdata/outside"

	"github.com/jung-kurt/gofpdf"
)

// names are invented, or the words for "name" and the like.
var names = []struct{ script, text string }{
	{"Latin", "Zoë Ångström"}, {"Latin", "Łukasz Żółć"}, {"Latin", "Nguyễn Thị Ánh"}, {"Latin", "Adéọlá Ọ̀ṣun"},
	{"Greek", "Ελένη Παπαδοπούλου"}, {"Cyrillic", "Ольга Ёжикова"},
	{"Hebrew", "יעל בן־דוד"}, {"Hebrew", "שָׁלוֹם"}, {"Arabic", "فاطمة الزهراء"}, {"Arabic", "نیم\u200cفاصله"}, {"Arabic", "محمد علی"}, {"Arabic", "مُحَمَّد"}, {"Arabic", "مـريم"},
	{"Devanagari", "अनुष्का श्रीवास्तव"}, {"Bengali", "কৃষ্ণা চট্টোপাধ্যায়"}, {"Tamil", "தமிழ்ச்செல்வி"}, {"Telugu", "లక్ష్మి"},
	{"Kannada", "ಲಕ್ಷ್ಮಿ"}, {"Malayalam", "ലക്ഷ്മി"}, {"Gujarati", "લક્ષ્મી"}, {"Gurmukhi", "ਲਕਸ਼ਮੀ"}, {"Oriya", "ଲକ୍ଷ୍ମୀ"}, {"Sinhala", "ගිහාන්"},
	{"Thai", "ณัฐธิดา ศรีสุข"}, {"Lao", "ສົມສັກ"}, {"Khmer", "ភក្តី"}, {"Myanmar", "မောင်မောင်"}, {"Tibetan", "བསྟན་འཛིན"},
	{"Georgian", "ნინო ბერიძე"}, {"Armenian", "Անահիտ"}, {"Ethiopic", "አበበ ቢቂላ"}, {"Mongolian", "ᠮᠣᠩᠭᠣᠯ"}, {"Adlam", "𞤀𞤣𞤤𞤢𞤥"},
	{"Meetei_Mayek", "ꯃꯤꯇꯩ ꯃꯌꯦꯛ"}, {"Javanese", "ꦗꦮ"}, {"Balinese", "ᬩᬮᬶ"}, {"Sundanese", "ᮞᮥᮔ᮪ᮓ"}, {"Yi", "ꆈꌠ"},
	{"Tai_Tham", "ᨩᩴ"}, {"Cham", "ꨌꩌ"}, {"Lisu", "ꓡꓲ‐ꓢꓴ"},
	{"Han", "王小明"}, {"Han", "髙橋﨑塚"}, {"Hiragana", "渡邉さくら"}, {"Katakana", "アンナ"}, {"Hangul", "김민준"},
}

// A document with one name a line, to be read by other programs.
func writeNames(t *testing.T, texts []string) string {
	t.Helper()
	pdf := gofpdf.New("P", "mm", "A3", "")
	AddTo(pdf)
	pdf.AddPage()
	s := NewSetter()
	for i, text := range texts {
		Draw(pdf, s.Set(Isolate(Clean(text))), 14, 20, 12+float64(i)*8)
	}
	var b bytes.Buffer
	if err := pdf.Output(&b); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "names.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// pdftotext finds every name as it was written.
func TestNamesAreText(t *testing.T) {
	var all []string
	for _, n := range names {
		all = append(all, n.text)
	}
	path := writeNames(t, all)
	outside.Run(t, "qpdf", "qpdf", "--check", path)
	got := withoutSpace(string(outside.Run(t, "pdftotext", "poppler-utils", "-layout", path, "-")))
	for _, n := range names {
		if want := withoutSpace(n.text); !strings.Contains(got, want) {
			t.Errorf("%s: pdftotext does not find %q", n.script, n.text)
		}
	}
}

// withoutSpace also leaves out marks of direction and joining, which pdftotext
// adds and drops.
func withoutSpace(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, text)
}

// Every letter of the scripts that names are written in has a form: those that
// Unicode's script property names in the blocks of living use.
func TestLettersHaveForms(t *testing.T) {
	s := NewSetter()
	for _, c := range []struct {
		what     string
		script   *unicode.RangeTable
		from, to rune
	}{
		{"Latin", unicode.Latin, 'A', 0x024F}, {"Latin, Vietnamese and Yoruba", unicode.Latin, 0x1E00, 0x1EFF},
		{"Greek", unicode.Greek, 0x0370, 0x03FF}, {"Greek with breathings", unicode.Greek, 0x1F00, 0x1FFF},
		{"Cyrillic", unicode.Cyrillic, 0x0400, 0x052F}, {"Armenian", unicode.Armenian, 0x0531, 0x0587},
		{"Hebrew", unicode.Hebrew, 0x05D0, 0x05EA}, {"Arabic", unicode.Arabic, 0x0620, 0x06FF},
		{"Devanagari", unicode.Devanagari, 0x0900, 0x097F}, {"Bengali", unicode.Bengali, 0x0980, 0x09FD},
		{"Gurmukhi", unicode.Gurmukhi, 0x0A00, 0x0A75}, {"Gujarati", unicode.Gujarati, 0x0A80, 0x0AF1},
		{"Oriya", unicode.Oriya, 0x0B00, 0x0B54}, {"Tamil", unicode.Tamil, 0x0B80, 0x0BFA},
		{"Telugu", unicode.Telugu, 0x0C00, 0x0C39}, {"Kannada", unicode.Kannada, 0x0C80, 0x0CDC},
		{"Malayalam", unicode.Malayalam, 0x0D00, 0x0D7F}, {"Sinhala", unicode.Sinhala, 0x0D81, 0x0DF4},
		{"Thai", unicode.Thai, 0x0E01, 0x0E5B}, {"Lao", unicode.Lao, 0x0EAD, 0x0EB9}, {"Tibetan", unicode.Tibetan, 0x0F40, 0x0FBC},
		{"Myanmar", unicode.Myanmar, 0x1000, 0x109F}, {"Georgian", unicode.Georgian, 0x10A0, 0x10FF},
		{"Ethiopic", unicode.Ethiopic, 0x1200, 0x137C}, {"Khmer", unicode.Khmer, 0x1780, 0x17F9},
		{"Hiragana", unicode.Hiragana, 0x3041, 0x3094}, {"Katakana", unicode.Katakana, 0x30A1, 0x30F6},
		{"Han", unicode.Han, 0x4E00, 0x9FA5}, {"Han, extension A", unicode.Han, 0x3400, 0x4DB5}, {"Hangul", unicode.Hangul, 0xAC00, 0xD7A3},
		{"Meetei Mayek", unicode.Meetei_Mayek, 0xABC0, 0xABF9}, {"Javanese", unicode.Javanese, 0xA980, 0xA9DF},
		{"Balinese", unicode.Balinese, 0x1B05, 0x1B4B}, {"Sundanese", unicode.Sundanese, 0x1B80, 0x1BB9},
		{"Yi", unicode.Yi, 0xA000, 0xA48C}, {"Cham", unicode.Cham, 0xAA00, 0xAA59}, {"Limbu", unicode.Limbu, 0x1900, 0x194F},
	} {
		var lacking []rune
		for r := c.from; r <= c.to; r++ {
			if unicode.Is(c.script, r) && unicode.In(r, unicode.L, unicode.M, unicode.Nd) && !s.shows(r) {
				lacking = append(lacking, r)
			}
		}
		if len(lacking) > 0 {
			t.Errorf("%s: no form for %d letters, %U", c.what, len(lacking), lacking[:min(len(lacking), 20)])
		}
	}
}

// Vowel marks and signs that Unicode's script property gives to several scripts
// (Scripts.txt: Inherited or Common) have forms where a font of any script has
// them.
func TestSharedLettersHaveForms(t *testing.T) {
	s := NewSetter()
	for _, r := range "\u064B\u064C\u064D\u064E\u064F\u0650\u0651\u0652\u0640\u060C\u0951\u0964Ⅷ" {
		if !s.shows(r) {
			t.Errorf("U+%04X has no form", r)
		}
	}
	if l := s.Set(Clean("محمّد")); len(l.Missing) > 0 || strings.ContainsRune(l.shown, missingSign) {
		t.Errorf("a name with a doubled letter lacks %q", l.Missing)
	}
}

func TestClean(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Tide 3", "Tide 3"},
		{"fru\u0308h", "früh"}, // decomposed, as some file systems give names
		{"a\n\tb  c\u2028d\x00e", "a b c d e"},
		{"a\u202egnp.exe\u2066b\u200f", "agnp.exeb"}, // overrides and isolates
		{"نیم\u200cفاصله", "نیم\u200cفاصله"},         // spelled so
		{"塚\ufa10", "塚\ufa10"},                       // another form of the same ideograph, kept
		{"o" + strings.Repeat("\u0301", 100), "ó" + strings.Repeat("\u0301", mostMarks-1)},
		{"\xff\xfe", "\ufffd"},
		{"(\\) ET Q", "(\\) ET Q"},
		{"", ""},
	} {
		if got := Clean(c.text); got != c.want {
			t.Errorf("Clean(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}

func TestMissingLetters(t *testing.T) {
	s := NewSetter()
	for text, want := range map[string]string{"Ann": "", "Ann 😀 😀": "😀", "𠮷 王": "𠮷", "\uE000x": "\uE000", "\uFFFD": ""} {
		l := s.Set(Clean(text))
		if got := string(l.Missing); got != want {
			t.Errorf("%q lacks %q, want %q", text, got, want)
		}
		if got := strings.Count(l.shown, string(missingSign)); got > 0 != (want != "") {
			t.Errorf("%q is shown as %q", text, l.shown)
		}
	}
}

// Heaps of marks stay in their line.
func TestHeapsStayInLine(t *testing.T) {
	s := NewSetter()
	for _, text := range []string{"a" + strings.Repeat("\u0301", 400), "o" + strings.Repeat("\u0323\u0301", 30), "བསྟྲྱིྀྂྃ", "ﷺ", "꧁꧂"} {
		var o outliner
		l := s.Set(Clean(text))
		runes := []rune(Clean(text))
		for _, run := range visualRuns(runes) {
			for _, out := range s.shape(runes, run) {
				o.add(&out)
			}
		}
		if top, bottom := o.top*l.scale, o.bottom*l.scale; !l.plain && (top > mostAscent*1.001 || bottom < -mostDescent*1.001) {
			t.Errorf("%q reaches from %.0f to %.0f", text, bottom, top)
		}
	}
}

func TestFitKeepsBothEnds(t *testing.T) {
	s := NewSetter()
	for _, text := range []string{"harbour " + strings.Repeat("very ", 3000) + "long 07", strings.Repeat("فاطمة ", 80) + "الزهراء", strings.Repeat("王", 300), strings.Repeat("क्ष्मी", 100)} {
		got := s.Fit(Clean(text), 7, 50)
		if w := s.Set(Isolate(got)).WidthMM(7); w > 50 || w < 42 {
			t.Errorf("%.20q is %.1f mm wide, want nearly 50", got, w)
		}
		first, _ := utf8.DecodeRuneInString(text)
		last, _ := utf8.DecodeLastRuneInString(text)
		if !strings.HasPrefix(got, string(first)) || !strings.HasSuffix(got, string(last)) || !strings.Contains(got, ellipsis) {
			t.Errorf("%q does not keep both ends", got)
		}
	}
	if got := s.Fit("M", 7, 0.5); got != "" {
		t.Errorf("what has no room is %q", got)
	}
}

func FuzzSet(f *testing.F) {
	for _, n := range names {
		f.Add(n.text)
	}
	for _, s := range []string{"\xff\xfe", "\u202e abc", "مرحبا 3.5 x (a)", "\U0001F600", "\u2067a\u2069\u2069", "(\\)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s := NewSetter()
		clean := Clean(text)
		if again := Clean(clean); !utf8.ValidString(clean) || again != clean || strings.ContainsFunc(clean, unicode.IsControl) {
			t.Fatalf("Clean(%q) = %q, then %q", text, clean, again)
		}
		l := s.Set(Isolate(clean))
		if w := l.WidthMM(7); w < 0 || w > 7*mmPerPoint*4*float64(len(clean)+1) {
			t.Errorf("%q is %g mm wide", clean, w)
		}
		cut := s.Fit(clean, 6, 30)
		if w := s.Set(Isolate(cut)).WidthMM(6); w > 30 {
			t.Errorf("Fit(%q) = %q, %g mm wide", clean, cut, w)
		}
		pdf := gofpdf.New("P", "mm", "A4", "")
		AddTo(pdf)
		pdf.AddPage()
		Draw(pdf, l, 7, 20, 20)
		if err := pdf.Output(new(bytes.Buffer)); err != nil {
			t.Errorf("%q: %v", clean, err)
		}
	})
}
