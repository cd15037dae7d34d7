package raster_test

import (
	"testing"

	"actinic/negative/raster"
)

// TestCopy moves a picture from one file into another.
func TestCopy(t *testing.T) {
	p := paint(31, 40, 3, grain) // more rows than one band of Copy
	src, err := raster.Open(write(t, "x.png", p, raster.Header{Bits: 16}, nil))
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	to := &memory{}
	sink, err := raster.NewTIFF(to, raster.Header{Width: 31, Height: 40, Channels: 3, Bits: 16}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := raster.Copy(background, sink, src); err != nil {
		t.Fatal(err)
	}
	if err := sink.Commit(); err != nil {
		t.Fatal(err)
	}
	same(t, "copy", read(t, memorySource(t, to.b)), p)
}

// TestClosedSource gives an error, not rows and not a panic.
func TestClosedSource(t *testing.T) {
	s := memorySource(t, makeTIFF(little, twelve, plain()))
	s.Close()
	if n, err := s.ReadRows(background, raster.NewBand(raster.Header{Width: 4, Channels: 1}, 1)); n != 0 || err == nil {
		t.Errorf("%d rows, %v", n, err)
	}
	if err := s.Restart(); err == nil {
		t.Error("a closed source starts again")
	}
}
