package handout

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"actinic/testdata/outside"
)

// Pictures of one width lie in the file in the order of the pages, each time, and
// the same picture once.
func TestPicturesKeepTheirOrder(t *testing.T) {
	var films []Film
	for i := range 8 {
		films = append(films, Film{fmt.Sprintf("%d.tif", i), 120, 80, 1, []int{1}, printed(t, 480, 300+i/2)})
	}
	h, err := New("Ngaio", card(t, "gum"), films, ExposureOf(eightMinutes(), card(t, "gum")))
	if err != nil {
		t.Fatal(err)
	}
	first, _ := pdfOf(t, []Handout{h, h}, Options{})
	for range 4 {
		if again, _ := pdfOf(t, []Handout{h, h}, Options{}); !bytes.Equal(first, again) {
			t.Fatal("the same handouts give other bytes")
		}
	}
	name := saved(t, first)
	if out := string(outside.Run(t, "qpdf", "qpdf", "--check", name)); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Error(out)
	}
	list := strings.Split(strings.TrimSpace(string(outside.Run(t, "pdfimages", "poppler-utils", "-list", name))), "\n")[2:]
	objects := map[string]bool{}
	for _, line := range list {
		f := strings.Fields(line)
		if f[3] != "480" {
			t.Errorf("an image of %s pixels", f[3])
		}
		objects[f[10]] = true
	}
	if len(list) != 16 || len(objects) != 4 {
		t.Errorf("%d images of %d objects, want 16 of 4", len(list), len(objects))
	}
}
