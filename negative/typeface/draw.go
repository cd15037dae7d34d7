package typeface

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf16"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"github.com/jung-kurt/gofpdf"
)

// Family is the name under which AddTo makes the plain font known to a document.
const Family = "sans"

// AddTo makes the plain font known to a document, as Family.
func AddTo(pdf *gofpdf.Fpdf) {
	// The PDF library writes into what it is given; the font is shared.
	pdf.AddUTF8FontFromBytes(Family, "", bytes.Clone(liberationsansregular.TTF))
}

// Draw puts a line on the current page of a document in millimetres, in black,
// from x with its baseline at y. The document must know the plain font (AddTo),
// which it leaves selected at the type size.
func Draw(pdf *gofpdf.Fpdf, l *Line, sizePt, xMM, yMM float64) {
	draw(pdf, l, sizePt, xMM, yMM, false)
}

// DrawMirrored is Draw for a place that is mirrored left to right: an Outlined
// line is found by who searches the page for its text.
func DrawMirrored(pdf *gofpdf.Fpdf, l *Line, sizePt, xMM, yMM float64) {
	draw(pdf, l, sizePt, xMM, yMM, true)
}

func draw(pdf *gofpdf.Fpdf, l *Line, sizePt, xMM, yMM float64, mirrored bool) {
	pdf.SetFont(Family, "", sizePt)
	pdf.SetTextColor(0, 0, 0)
	if l.plain {
		pdf.Text(xMM, yMM, l.shown)
		return
	}
	if l.path == "" {
		return
	}
	_, pageMM := pdf.GetPageSize()
	size := float64(sizePt*l.scale) / unitsPerEM
	pdf.RawWriteStr(fmt.Sprintf("q 0 g %.6f 0 0 %.6f %.3f %.3f cm\n%sf Q\n", size, size, xMM/mmPerPoint, (pageMM-yMM)/mmPerPoint, l.path))
	layText(pdf, l, sizePt, xMM, yMM, mirrored)
}

// layText puts the text of outlines over them, unseen and as wide as they are
// (ISO 32000-1:2008, 9.3.6, text rendering mode 3). Letters beyond U+FFFF have no
// code of two bytes: they stand in ActualText (14.9.4).
func layText(pdf *gofpdf.Fpdf, l *Line, sizePt, xMM, yMM float64, mirrored bool) {
	low := strings.Map(func(r rune) rune {
		if r > 0xFFFF {
			return missingSign
		}
		return r
	}, l.shown)
	natural, width := pdf.GetStringWidth(low), l.WidthMM(sizePt)
	if natural <= 0 {
		return
	}
	beyond := low != l.shown
	if beyond {
		pdf.RawWriteStr("/Span <</ActualText <" + hexUTF16(l.text) + ">>> BDC\n")
	}
	pdf.RawWriteStr(fmt.Sprintf("q 3 Tr %.3f Tz\n", 100*width/natural))
	if mirrored {
		pdf.RawWriteStr(fmt.Sprintf("-1 0 0 1 %.3f 0 cm\n", (2*xMM+width)/mmPerPoint))
	}
	pdf.Text(xMM, yMM, low)
	pdf.RawWriteStr("Q\n")
	if beyond {
		pdf.RawWriteStr("EMC\n")
	}
}

// hexUTF16 writes a text string of PDF (ISO 32000-1:2008, 7.9.2.2).
func hexUTF16(text string) string {
	var b strings.Builder
	b.WriteString("FEFF")
	for _, u := range utf16.Encode([]rune(text)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String()
}
