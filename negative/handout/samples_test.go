package handout

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"testing"
	"time"

	"actinic/process/calibration"
	"actinic/process/recipe"
)

// printed is a JPEG of a slope of greys.
func printed(t testing.TB, w, h int) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetGray(x, y, color.Gray{uint8(40 + 200*(x+y)/(w+h))})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func card(t testing.TB, id string) recipe.Card {
	t.Helper()
	c, err := recipe.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// eightMinutes is a calibration as far as an exposure goes.
func eightMinutes() *calibration.Calibration {
	given := 480.0
	return &calibration.Calibration{Exposure: calibration.Exposure{Given: &given, Unit: "s", FirstBlack: &calibration.Value{Value: 291, SD: 10.4}}}
}

// sample is a handout of a process with films and quantities.
func sample(t testing.TB, id, person string) Handout {
	t.Helper()
	films := []Film{
		{"harbour.tif", 203, 254, 1, []int{1}, printed(t, 400, 500)},
		{"Wolken über dem Steinbruch am späten Nachmittag, zweite Fassung.tif", 180, 120, 2, []int{1, 2}, printed(t, 480, 320)},
	}
	h, err := New(person, card(t, id), films, ExposureOf(eightMinutes(), card(t, id)))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func pdfOf(t testing.TB, all []Handout, o Options) ([]byte, []Placed) {
	t.Helper()
	var b bytes.Buffer
	placed, err := Write(&b, all, o)
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), placed
}

var monday = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
