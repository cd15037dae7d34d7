package scan

import (
	"image"
	"math"
	"strings"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// searchedSide is the longest side, in pixels, of the picture in which a code is
// looked for without knowing where it is: three pixels a module and more on a
// sheet that fills the bed.
const searchedSide = 2000

// findCode returns the text of a chart's code anywhere in the plane, "" if none
// is found. It is slow and easily misled, and only there to tell why marks do
// not fit. What layouts take for marks is painted over: a code's finder patterns
// look much like marks to the library.
func (p *Plane) findCode(layouts []layout) string {
	g := reduce(p, searchedSide)
	for i := range layouts {
		g.coverMarks(&layouts[i])
	}
	picture := image.NewGray(image.Rect(0, 0, g.width, g.height))
	for i, v := range g.v {
		picture.Pix[i] = uint8(v*255 + 0.5)
	}
	light := gozxing.NewLuminanceSourceFromImage(picture)
	for _, source := range []gozxing.LuminanceSource{light, light.Invert()} {
		if text := detectCode(source); isChartCode(text) {
			return text
		}
	}
	return ""
}

// coverMarks paints a layout's marks in the tone of the film about them.
func (g *grey) coverMarks(l *layout) {
	for i, ok := range l.found {
		if !ok || l.seen[i].like == 0 {
			continue
		}
		s := &l.seen[i]
		radius := l.plain.scale() * l.marks[i].DiameterMM / 2 * 1.1 / g.step
		cx, cy := s.at.X/g.step, s.at.Y/g.step
		for y := max(0, int(cy-radius)); y < min(g.height, int(cy+radius)+1); y++ {
			for x := max(0, int(cx-radius)); x < min(g.width, int(cx+radius)+1); x++ {
				if math.Hypot(float64(x)+0.5-cx, float64(y)+0.5-cy) < radius {
					g.v[y*g.width+x] = float32(min(1, max(0, s.clear)))
				}
			}
		}
	}
}

// detectCode returns what the library's own search finds, "" if nothing.
func detectCode(source gozxing.LuminanceSource) (text string) {
	defer func() { // see codeGrid.decode
		if recover() != nil {
			text = ""
		}
	}()
	bitmap, err := gozxing.NewBinaryBitmap(gozxing.NewHybridBinarizer(source))
	if err != nil {
		return ""
	}
	result, err := qrcode.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{
		gozxing.DecodeHintType_TRY_HARDER: true,
	})
	if err != nil {
		return ""
	}
	return result.GetText()
}

// isChartCode reports whether a text is written as charts write theirs: eight
// digits and capitals without I, L, O and U.
func isChartCode(text string) bool {
	if len(text) != 8 {
		return false
	}
	for _, r := range text {
		if !strings.ContainsRune("0123456789ABCDEFGHJKMNPQRSTVWXYZ", r) {
			return false
		}
	}
	return true
}
