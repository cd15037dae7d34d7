package scan

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"
)

// The picture outlines what was found where it lies: marks, patches, and the grey
// scale at its rectangle in the scan, which the picture begins with.
func TestPictureShowsWhatWasRead(t *testing.T) {
	c := smallRamp(t, 150)
	p := contact(t, c, 0)
	p.tape()
	b := bed{ppi: 150, marginMM: 4, noise: 120, seed: 3}
	perMM := b.ppi / 25.4
	s := p.withScale().scan(b)
	var file strings.Builder
	file.WriteString("patch,print_density\n")
	for k, d := range scaleDensities {
		fmt.Fprintf(&file, "s%d,%g\n", k, d)
	}
	scale, err := ReadScale(strings.NewReader(file.String()), "scale.csv")
	if err != nil {
		t.Fatal(err)
	}
	scale.Strip = &ScanRect{X: (4 + c.Pages[0].WidthMM + 8) * perMM, Y: 4 * perMM, Width: 8 * perMM, Height: 6 * perMM * float64(len(scaleDensities))}
	r := mustRead(t, c, &Options{Scale: scale}, s.input("scan.tif"))
	var out bytes.Buffer
	if err := r.WritePicture(&out); err != nil {
		t.Fatal(err)
	}
	shown, err := png.Decode(&out)
	if err != nil {
		t.Fatal(err)
	}
	times := float64(shown.Bounds().Dx()) / float64(s.head.Width)
	want := image.Rect(int(scale.Strip.X*times), int(scale.Strip.Y*times), int((scale.Strip.X+scale.Strip.Width)*times)+1, int((scale.Strip.Y+scale.Strip.Height)*times)+1)
	print := image.Rect(0, 0, shown.Bounds().Dx(), int(float64(s.head.Height)*times))
	for name, ink := range map[string]color.RGBA{"found": foundInk, "read": readInk, "tape": tapeInk, "scale": scaleInk} {
		inside, outside := 0, 0
		for y := print.Min.Y; y < print.Max.Y; y++ {
			for x := print.Min.X; x < print.Max.X; x++ {
				if color.RGBAModel.Convert(shown.At(x, y)) == ink {
					if (image.Point{x, y}).In(want) {
						inside++
					} else {
						outside++
					}
				}
			}
		}
		switch {
		case name == "scale" && (inside < 50 || outside > 0):
			t.Errorf("the grey scale is outlined by %d pixels in its place and %d elsewhere", inside, outside)
		case name != "scale" && outside < 20:
			t.Errorf("%s: outlined by %d pixels", name, outside)
		}
	}
}
