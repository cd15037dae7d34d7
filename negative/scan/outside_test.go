package scan

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// ofFile hands a file to Read.
func ofFile(path string) Input {
	return Input{Name: path, Open: func() (raster.Source, error) { return raster.Open(path) }}
}

// scannedFile writes a scan of a small ramp as 16-bit TIFF.
func scannedFile(t *testing.T) (c *chart.Chart, path string) {
	t.Helper()
	c = smallRamp(t, 150)
	s := contact(t, c, 0).scan(bed{ppi: 150, angle: 2, marginMM: 4, noise: 200, seed: 6})
	path = filepath.Join(t.TempDir(), "scan.tif")
	if err := os.WriteFile(path, s.tiff(t), 0o600); err != nil {
		t.Fatal(err)
	}
	return c, path
}

// furthest is the most that readings of two scans differ by, L*.
func furthest(a, b *Result) float64 {
	most := 0.0
	for i := range a.Readings {
		most = max(most, math.Abs(a.Readings[i].Lstar-b.Readings[i].Lstar))
	}
	return most
}

// How far readings may be apart, in L*: the last bit of 16; and 8 bits that are always
// rounded down, as both programs do, which is half a code of 0.2 to 0.45 L*.
const (
	exact     = 0.005
	truncated = 0.26
	lossy     = 0.4 // JPEG, truncated too
)

// ImageMagick and libvips write the same scan in other ways; it reads the same.
func TestScansWrittenByOtherProgramsReadTheSame(t *testing.T) {
	c, path := scannedFile(t)
	want := mustRead(t, c, nil, ofFile(path))
	for _, test := range []struct {
		name  string
		limit float64 // L*: see exact, evenly, truncated
		make  func(to string)
	}{
		{"magick-lzw16.tif", exact, magick(t, path, "-compress", "LZW")},
		{"magick-zip16.tif", exact, magick(t, path, "-compress", "Zip")},
		{"magick-none16.tif", exact, magick(t, path, "-compress", "None", "-endian", "MSB")},
		{"magick-planes.tif", exact, magick(t, path, "-compress", "LZW", "-interlace", "Plane")},
		{"magick-lzw8.tif", truncated, magick(t, path, "-depth", "8", "-compress", "LZW")},
		{"magick.png", exact, magick(t, path)},
		{"magick-interlaced8.png", truncated, magick(t, path, "-depth", "8", "-interlace", "PNG")},
		{"magick.jpg", lossy, magick(t, path, "-depth", "8", "-quality", "95", "-sampling-factor", "4:4:4")},
		{"vips-deflate16.tif", exact, vips(t, path, "tiffsave", "--compression", "deflate", "--predictor", "horizontal")},
		{"vips-lzw-tiles.tif", exact, vips(t, path, "tiffsave", "--compression", "lzw", "--tile")},
		{"vips-8bits.tif", truncated, vips(t, path, "cast", "uchar", "--shift")},
		{"vips.png", exact, vips(t, path, "pngsave")},
	} {
		to := filepath.Join(t.TempDir(), test.name)
		test.make(to)
		if d := furthest(want, mustRead(t, c, nil, ofFile(to))); d > test.limit {
			t.Errorf("%s reads up to %.4f L* differently, want %.3f at most", test.name, d, test.limit)
		}
	}
}

func magick(t *testing.T, path string, args ...string) func(string) {
	return func(to string) {
		outside.Run(t, "convert", "imagemagick", append(append([]string{path}, args...), to)...)
	}
}

func vips(t *testing.T, path, command string, args ...string) func(string) {
	return func(to string) {
		outside.Run(t, "vips", "libvips-tools", append([]string{command, path, to}, args...)...)
	}
}

// profilePaths are what Ghostscript installs: other primaries, other tone curves.
func profilePaths(t *testing.T) []string {
	var paths []string
	for _, name := range []string{"a98.icc", "rommrgb.icc", "srgb.icc", "ps_rgb.icc"} {
		path := "/usr/share/color/icc/ghostscript/" + name
		outside.File(t, path, "libgs-common")
		paths = append(paths, path)
	}
	return paths
}

// tableProfile is an RGB profile with a table (A2B0), among the test files of a
// module that ours depends on.
func tableProfile(t *testing.T) string {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/kovidgoyal/imaging").Output()
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Join(strings.TrimSpace(string(dir)), "prism/meta/icc/test-profiles/lcms-check-lut.icc")
}

// lcms2's tificc converts a scan into other colour spaces and embeds their
// profiles; the readings stay within 0.2 L* (issue: the tone of scans with embedded
// profiles agrees with lcms2).
func TestEmbeddedProfilesReadTheSame(t *testing.T) {
	c, path := scannedFile(t)
	want := mustRead(t, c, nil, ofFile(path))
	for _, name := range profilePaths(t) {
		to := filepath.Join(t.TempDir(), filepath.Base(name)+".tif")
		outside.Run(t, "tificc", "liblcms2-utils", "-i", "*sRGB", "-o", name, "-e", "-w", "16", "-t", "1", path, to)
		src, err := raster.Open(to)
		if err != nil {
			t.Fatal(err)
		}
		if src.Header().Profile == nil {
			t.Fatalf("tificc embedded no profile in %s", to)
		}
		src.Close()
		if d := furthest(want, mustRead(t, c, nil, ofFile(to))); d > 0.2 {
			t.Errorf("%s: up to %.3f L* from the same scan in sRGB", name, d)
		}
	}
}

// L* of single colours against lcms2's transicc (relative colorimetric).
func TestToneAgreesWithLCMS(t *testing.T) {
	colours := [][3]uint16{{0, 0, 0}, {65535, 65535, 65535}, {2570, 8000, 21000}, {9000, 20000, 40000}, {30000, 15000, 8000},
		{52000, 50000, 46000}, {1500, 1600, 1400}, {12000, 33000, 52000}, {40000, 41000, 39000}}
	for _, path := range append(profilePaths(t), tableProfile(t)) {
		name, data := filepath.Base(path), outside.File(t, path, "libgs-common")
		light, err := lightOf("x.tif", raster.Header{Channels: 3, Profile: data}, &Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := lcmsLightness(t, path, colours)
		tone, y := plainTone(), make([]float32, 1)
		for i, c := range colours {
			light.row(y, c[:])
			if got := float64(tone.lstar[toRoot(y[0])]); math.Abs(got-want[i]) > 0.2 {
				t.Errorf("%s, %v: L* %.3f, lcms2 says %.3f", name, c, got, want[i])
			}
		}
	}
}

func lcmsLightness(t *testing.T, path string, colours [][3]uint16) []float64 {
	t.Helper()
	cmd := exec.Command(outside.Tool(t, "transicc", "liblcms2-utils"), "-n", "-t1", "-i", path, "-o", "*Lab")
	var in bytes.Buffer
	for _, c := range colours {
		for _, v := range c {
			in.WriteString(strconv.FormatFloat(float64(v)*255/65535, 'f', 9, 64) + "\n")
		}
	}
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc: %v", err)
	}
	var lstar []float64
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); len(f) == 3 {
			v, err := strconv.ParseFloat(f[0], 64)
			if err != nil {
				t.Fatalf("transicc answers %q", line)
			}
			lstar = append(lstar, v)
		}
	}
	if len(lstar) != len(colours) {
		t.Fatalf("transicc answers %q", out)
	}
	return lstar
}
