package sheet

import (
	"bytes"
	"testing"

	"actinic/negative/raster"
)

// Copies stand in the file once, and each is drawn as if it stood there alone: one
// beside the other, one turned, one with another check strip.
func TestCopiesStandOnce(t *testing.T) {
	opts := testOptions(t, "5x7in")
	opts.Depth = 8
	form := imageForm{200, 300, 1, 16}
	opened := 0
	page := func(same any) string {
		it := item(20, 30)
		it.Same, it.Open = same, func() (raster.Source, error) {
			opened++
			return open(form, grain)()
		}
		strip := it
		strip.Strip = testStrip(5)
		pages, err := Layout([]Item{it, it, strip}, opts)
		if err != nil || len(pages) != 1 {
			t.Fatalf("%d pages, %v", len(pages), err)
		}
		p := &pages[0].Placements[1]
		p.Turned = true
		return saved(t, pages, opts)
	}
	alone := seen(t, page(nil), true)
	if opened != 3 {
		t.Errorf("%d pictures opened of 3", opened)
	}
	opened = 0
	shared := seen(t, page("picture"), true)
	if opened != 1 {
		t.Errorf("one picture opened %d times", opened)
	}
	if !bytes.Equal(alone.Pix, shared.Pix) {
		t.Error("the pages look different")
	}
}
