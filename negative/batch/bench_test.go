package batch

import (
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
)

const benchWidth, benchHeight = 3000, 2000

// grainyTIFF writes a picture of 16-bit RGB with grain.
func grainyTIFF(b *testing.B, file string, packing raster.Compression) {
	b.Helper()
	h := raster.Header{Width: benchWidth, Height: benchHeight, Channels: 3, Bits: 16, Orientation: 1, PPIX: 300, PPIY: 300}
	f, err := os.Create(file)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	sink, err := raster.NewTIFF(f, h, &raster.TIFFOptions{Compression: packing})
	if err != nil {
		b.Fatal(err)
	}
	r, band := rand.New(rand.NewPCG(1, 2)), raster.NewBand(h, 1)
	for y := range benchHeight {
		for i := range band[0] {
			band[0][i] = uint16(8000 + 20*y + 4*(i/3) + r.IntN(3000))
		}
		if err := sink.WriteRows(b.Context(), band); err != nil {
			b.Fatal(err)
		}
	}
	if err := sink.Commit(); err != nil {
		b.Fatal(err)
	}
}

func grainyJPEG(b *testing.B, file string) {
	b.Helper()
	r, m := rand.New(rand.NewPCG(1, 2)), image.NewYCbCr(image.Rect(0, 0, benchWidth, benchHeight), image.YCbCrSubsampleRatio420)
	for i := range m.Y {
		m.Y[i] = uint8(60 + i%benchWidth/30 + r.IntN(20))
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = uint8(120+r.IntN(8)), uint8(126+r.IntN(8))
	}
	f, err := os.Create(file)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	if err := jpeg.Encode(f, m, &jpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkSave makes films of 6 megapixels from file to file on one core and
// on all; MP/s counts the picture's pixels.
func BenchmarkSave(b *testing.B) {
	dir := b.TempDir()
	plain, packed, photo := filepath.Join(dir, "plain.tif"), filepath.Join(dir, "packed.tif"), filepath.Join(dir, "photo.jpg")
	grainyTIFF(b, plain, raster.NoCompression)
	grainyTIFF(b, packed, raster.Deflate)
	grainyJPEG(b, photo)
	reduced := tone.Options{WidthMM: 158.75, PPI: 360}
	for _, c := range []struct {
		name, in, out string
		packing       raster.Compression
		o             tone.Options
	}{
		{"tiff to tiff", plain, "o.tif", raster.NoCompression, tone.Options{}},
		{"tiff to deflate", plain, "o.tif", raster.Deflate, tone.Options{}},
		{"deflate to tiff", packed, "o.tif", raster.NoCompression, tone.Options{}},
		{"tiff reduced to 8 bits", plain, "o.tif", raster.NoCompression, tone.Options{WidthMM: 158.75, PPI: 360, Depth: 8}},
		{"tiff on its side", plain, "o.tif", raster.NoCompression, tone.Options{Rotate: 90}},
		{"jpeg reduced to png", photo, "o.png", 0, reduced},
	} {
		for name, cores := range map[string]int{"one core": 1, "all cores": 0} {
			b.Run(c.name+"/"+name, func(b *testing.B) {
				r := &Recipe{Curve: straight{}, Tone: c.o, Compress: c.packing, Cores: cores}
				benchSave(b, r, c.in, filepath.Join(dir, c.out))
			})
		}
	}
}

func benchSave(b *testing.B, r *Recipe, in, out string) {
	table, err := tone.Bake(r.Curve)
	if err != nil {
		b.Fatal(err)
	}
	r.Curve = table
	b.ReportAllocs()
	for b.Loop() {
		src, err := raster.Open(in)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := r.Save(b.Context(), out, src, in, output.Options{Force: true}); err != nil {
			b.Fatal(err)
		}
		src.Close()
	}
	b.ReportMetric(benchWidth*benchHeight/1e6*float64(b.N)/b.Elapsed().Seconds(), "MP/s")
}
