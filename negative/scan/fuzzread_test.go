package scan

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/png"
	"testing"

	"actinic/process/fault"
)

// FuzzRead takes any bytes as a scan: readings or an error that names the file,
// never a panic. Sizes are bounded by package raster, and again here.
func FuzzRead(f *testing.F) {
	c := smallRamp(f, 72)
	s := contact(f, c, 0).scan(bed{ppi: 72, angle: 2, marginMM: 2, bits: 8, channels: 1})
	good := s.tiff(f)
	f.Add(good)
	f.Add(good[:len(good)/2])
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 300, 260))); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("II*\x00"))
	f.Add([]byte("\xff\xd8\xff\xe0"))
	f.Add([]byte("patch,print_lstar\nA1,50\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, o := range []*Options{nil, {Linear: true, Corners: &[4]Point{{10, 10}, {200, 12}, {205, 180}, {8, 170}}}} {
			src, err := ofBytes("scan", data).Open()
			if err == nil {
				h := src.Header()
				src.Close()
				if h.Width*h.Height > 1<<20 {
					t.Skip("large pictures take long, and nothing else")
				}
			}
			r, err := Read(context.Background(), []Input{ofBytes("scan", data)}, c, o)
			var fe *fault.Error
			if err != nil && !errors.As(err, &fe) {
				t.Errorf("error of type %T: %v", err, err)
			}
			if err == nil {
				r.Patches()
				r.Tablet()
			}
		}
	})
}
