package scan

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strconv"
	"strings"
	"testing"

	"actinic/process/density"
)

// pictureWithStrip is a scan of a picture's print, 16 bits, with a strip of patches
// whose L* are given below it: sRGB by IEC 61966-2-1, turned by degrees about the
// strip's top-left corner at (90, 400). Patches are wide x high pixels.
func pictureWithStrip(t *testing.T, lstar []float64, wide, high, degrees float64) (png16 []byte, corners [4]Point) {
	t.Helper()
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	img := image.NewGray16(image.Rect(0, 0, 900, 600))
	code := func(l float64) color.Gray16 {
		y := math.Pow(10, -float64(density.Lightness(l).Density()))
		return color.Gray16{Y: uint16(math.Round(65535 * (1.055*math.Pow(y, 1/2.4) - 0.055)))}
	}
	for py := range 600 {
		for px := range 900 {
			dx, dy := float64(px)+0.5-90, float64(py)+0.5-400
			x, y := float64(dx*cos)+float64(dy*sin), float64(dy*cos)-float64(dx*sin)
			l := 94.0
			switch i := int(math.Floor(x / wide)); {
			case y >= 0 && y < high && i >= 0 && i < len(lstar):
				l = lstar[i]
			case y < -20 && x > 0 && x < 700:
				l = 30 + x/15
			}
			img.SetGray16(px, py, code(l))
		}
	}
	for i, at := range [4][2]float64{{0, 0}, {wide * float64(len(lstar)), 0}, {wide * float64(len(lstar)), high}, {0, high}} {
		corners[i] = Point{90 + float64(at[0]*cos) - float64(at[1]*sin), 400 + float64(at[0]*sin) + float64(at[1]*cos)}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), corners
}

// The strip beside a picture reads as it was drawn: wide and narrow patches, turned,
// and with corners that are pointed at as well as a hand can.
func TestReadStrip(t *testing.T) {
	lstar := []float64{27, 25, 23.5, 23, 30, 40, 57, 73, 83, 90}
	var names []string
	for i := range lstar {
		names = append(names, strconv.Itoa(i+1))
	}
	for _, test := range []struct{ wide, high, degrees, amiss float64 }{
		{60, 60, 0, 0}, {75, 60, 2.5, 0}, {30, 60, -3, 0}, {62, 60, 1, 3},
	} {
		t.Run(fmt.Sprint(test), func(t *testing.T) {
			data, corners := pictureWithStrip(t, lstar, test.wide, test.high, test.degrees)
			for i := range corners {
				corners[i].X += test.amiss * float64(1-i%2*2)
				corners[i].Y += test.amiss * float64(1-i/2*2)
			}
			r, err := ReadStrip(context.Background(), ofBytes("print.png", data), names, &Options{Corners: &corners})
			if err != nil {
				t.Fatal(err)
			}
			got := r.Patches().Readings
			if len(got) != len(lstar) {
				t.Fatalf("%d patches, want %d", len(got), len(lstar))
			}
			for i, reading := range got {
				if reading.ID != names[i] || math.Abs(reading.Value-lstar[i]) > 0.1 {
					t.Errorf("patch %s reads %.2f, drawn %s as %.2f", reading.ID, reading.Value, names[i], lstar[i])
				}
			}
		})
	}
	data, corners := pictureWithStrip(t, lstar, 60, 60, 0)
	corners[0], corners[1], corners[2], corners[3] = corners[1], corners[2], corners[3], corners[0]
	if _, err := ReadStrip(context.Background(), ofBytes("print.png", data), names, &Options{Corners: &corners}); err == nil || !strings.Contains(err.Error(), "none of a check strip") {
		t.Errorf("corners that begin at the wrong one: %v", err)
	}
}
