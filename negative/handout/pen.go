package handout

import (
	"bytes"
	"strings"

	"actinic/negative/typeface"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"github.com/jung-kurt/gofpdf"
)

const mmPerPoint = 25.4 / 72

// style is how a word looks.
type style struct {
	sizePt float64
	bold   bool
	grey   int // 0 black to 255 white
}

var (
	body     = style{8.5, false, 0}
	strong   = style{8.5, true, 0}
	fine     = style{7.3, false, 0} // small letters 1.33 mm high; labels of food need 1.2 (Regulation (EU) 1169/2011, from memory)
	fineBold = style{7.3, true, 0}
	mark     = style{5.8, false, 90} // of a source
	small    = style{7, false, 0}
	tiny     = style{6, false, 40}
	heading  = style{9.5, true, 0}
	figure   = style{21, true, 0}
	second   = style{10.5, true, 0}
	nameOnce = style{20, false, 0} // of the person, on the first page
	nameNext = style{11, false, 0} // and on those that follow
	subtitle = style{10.5, true, 0}
)

// leadingMM is the distance of lines; 1.23 times the type's size reads well (a
// working value of ours).
func (s style) leadingMM() float64 { return s.sizePt * mmPerPoint * 1.23 }

// pen writes and draws on pages, in millimetres from the top-left corner.
type pen struct {
	pdf    *gofpdf.Fpdf
	setter *typeface.Setter
	widths map[sized]float64
	tight  float64 // factor on the type of columns
}

type sized struct {
	text string
	style
}

func newPen(o Options) *pen {
	pdf := gofpdf.NewCustom(&gofpdf.InitType{OrientationStr: "P", UnitStr: "mm",
		Size: gofpdf.SizeType{Wd: o.Paper.WidthMM, Ht: o.Paper.HeightMM}})
	date := o.Date.UTC()
	if o.Date.IsZero() {
		date = epoch
	}
	pdf.SetCreationDate(date)
	pdf.SetModificationDate(date)
	pdf.SetCatalogSort(true)
	pdf.SetProducer("actinic", true)
	pdf.SetTitle(strings.TrimSpace("Handouts "+typeface.Clean(o.Title)), true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	typeface.AddTo(pdf)
	pdf.AddUTF8FontFromBytes(typeface.Family, "B", bytes.Clone(liberationsansbold.TTF))
	return &pen{pdf, typeface.NewSetter(), map[sized]float64{}, 1}
}

// font makes a style that of what is written next.
func (p *pen) font(s style) {
	weight := ""
	if s.bold {
		weight = "B"
	}
	p.pdf.SetFont(typeface.Family, weight, s.sizePt)
	p.pdf.SetTextColor(s.grey, s.grey, s.grey)
}

// ours reports whether text has nothing but letters of our own sentences, which
// the fonts show as they are.
func ours(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r > 0xFF && r != '…' && r != '•' })
}

// width returns how long a text is.
func (p *pen) width(text string, s style) float64 {
	key := sized{text, s}
	if w, ok := p.widths[key]; ok {
		return w
	}
	var w float64
	if ours(text) {
		p.font(s)
		w = p.pdf.GetStringWidth(text)
	} else {
		w = p.setter.Set(text).WidthMM(s.sizePt)
	}
	p.widths[key] = w
	return w
}

// write puts one line with its baseline at y. Text that is not ours must be
// Clean; scripts of other fonts are shown plain and black.
func (p *pen) write(text string, s style, x, y float64) {
	if ours(text) {
		p.font(s)
		p.pdf.Text(x, y, text)
		return
	}
	typeface.Draw(p.pdf, p.setter.Set(text), s.sizePt, x, y)
}

// name returns a user's text as one line of at most widthMM, which keeps its own
// direction among what is written with it.
func (p *pen) name(text string, s style, widthMM float64) string {
	text = typeface.Clean(text)
	if p.width(text, s) <= widthMM {
		return typeface.Isolate(text)
	}
	if s.bold {
		widthMM *= boldRoom
	}
	return typeface.Isolate(p.setter.Fit(text, s.sizePt, widthMM))
}

// nameAnd is name with words of ours after it, all in at most widthMM.
func (p *pen) nameAnd(text, words string, s style, widthMM float64) string {
	return p.name(text, s, widthMM-p.width(words, s)) + words
}

// boldRoom is how much of a line plain letters may take that are then set bold,
// which is wider: by 4 to 9 % in this font.
const boldRoom = 0.9

// right writes a line that ends at x.
func (p *pen) right(text string, s style, x, y float64) { p.write(text, s, x-p.width(text, s), y) }

// rule draws a thin line from side to side.
func (p *pen) rule(x, y, widthMM, thickMM float64, grey int) {
	p.pdf.SetDrawColor(grey, grey, grey)
	p.pdf.SetLineWidth(thickMM)
	p.pdf.Line(x, y, x+widthMM, y)
}

// panel fills a box with light grey.
func (p *pen) panel(x, y, w, h float64) {
	p.pdf.SetFillColor(panelGrey, panelGrey, panelGrey)
	p.pdf.Rect(x, y, w, h, "F")
}

const panelGrey = 236

// frame draws the outline of a box.
func (p *pen) frame(x, y, w, h, thickMM float64, grey int) {
	p.pdf.SetDrawColor(grey, grey, grey)
	p.pdf.SetLineWidth(thickMM)
	p.pdf.Rect(x, y, w, h, "D")
}
