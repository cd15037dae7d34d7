package raster_test

import (
	"path/filepath"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// BenchmarkTIFF reads a 16-bit RGB picture of 12 megapixels in each of the usual
// forms, in bands of 64 rows. The picture is grain on a slope.
func BenchmarkTIFF(b *testing.B) {
	dir := b.TempDir()
	plain := filepath.Join(dir, "plain.tif")
	const w, h = 4000, 3000
	outside.Run(b, "convert", "imagemagick", "-size", "4000x3000", "plasma:tan-blue", "-attenuate", "0.3", "+noise", "Gaussian", "-depth", "16", "-compress", "none", plain)
	for _, form := range []string{"none", "none -B", "lzw:2", "zip:2", "zip:2 -B", "packbits", "none -t -w 256 -l 256", "zip:2 -t -w 256 -l 256"} {
		path := filepath.Join(dir, strings.ReplaceAll(form, " ", "")+".tif")
		outside.Run(b, "tiffcp", "libtiff-tools", append(append([]string{"-c"}, strings.Fields(form)...), plain, path)...)
		b.Run(form, func(b *testing.B) {
			s, err := raster.Open(path)
			if err != nil {
				b.Fatal(err)
			}
			defer s.Close()
			band := raster.NewBand(s.Header(), 64)
			b.SetBytes(w * h * 6)
			for b.Loop() {
				if err := s.Restart(); err != nil {
					b.Fatal(err)
				}
				for y := 0; y < h; {
					n, err := s.ReadRows(background, band)
					if err != nil {
						b.Fatal(err)
					}
					y += n
				}
			}
		})
	}
}
