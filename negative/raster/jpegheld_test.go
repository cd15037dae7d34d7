package raster_test

import (
	"runtime"
	"testing"

	"actinic/negative/raster"
)

// TestJPEGHeldBytes: what a header says that reading takes is what it takes,
// within a tenth, for every kind of coding.
func TestJPEGHeldBytes(t *testing.T) {
	for name, args := range map[string][]string{
		"grey":        {"-colorspace", "Gray"},
		"progressive": {"-interlace", "JPEG"},
		"4:2:0":       {"-sampling-factor", "2x2"},
		"4:4:4":       {"-sampling-factor", "1x1"},
		"YCCK":        {"-colorspace", "CMYK", "-sampling-factor", "1x1"},
	} {
		path := convert(t, "a.jpg", append([]string{"../../testdata/photos/amphitheatre.jpg", "-resize", "1500x1001!", "-strip"}, args...)...)
		file := readFile(t, path)
		if name == "YCCK" {
			file = profiled(file)
		}
		s := memorySource(t, file)
		band := raster.NewBand(s.Header(), 1)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := s.ReadRows(background, band); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		took, says := float64(after.TotalAlloc-before.TotalAlloc), float64(s.Header().HeldBytes)
		if took > 1.1*says || says > 1.1*took {
			t.Errorf("%s: took %.2f MB, said %.2f MB", name, took/1e6, says/1e6)
		}
	}
}
