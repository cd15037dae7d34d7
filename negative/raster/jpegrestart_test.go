package raster_test

import (
	"path/filepath"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// Pictures with restart markers by libvips (libjpeg-turbo) are those without: the
// markers change no sample (ITU-T T.81, E.1.4). The one kind that image/jpeg fails
// on is refused by its name, not called damaged.
func TestJPEGRestartMarkers(t *testing.T) {
	small := convert(t, "a.png", "../../testdata/photos/amphitheatre.jpg", "-resize", "150x101!", "-strip")
	made := func(args ...string) []byte {
		path := filepath.Join(t.TempDir(), "a.jpg")
		outside.Run(t, "vips", "libvips-tools", append([]string{"jpegsave", small, path}, args...)...)
		return readFile(t, path)
	}
	for name, args := range map[string][]string{
		"4:4:4": {"--subsample-mode", "off"}, "4:2:0": {"--subsample-mode", "on"},
		"progressive 4:4:4": {"--subsample-mode", "off", "--interlace"},
	} {
		want := read(t, memorySource(t, made(args...)))
		same(t, name, read(t, memorySource(t, made(append(args, "--restart-interval", "3")...))), want)
	}
	refused(t, "progressive 4:2:0", decode(made("--subsample-mode", "on", "--interlace", "--restart-interval", "3")),
		new(*raster.UnsupportedError), "progressive coding with restart markers and chroma of reduced size")
}
