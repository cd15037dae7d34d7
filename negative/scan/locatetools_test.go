package scan

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

// A page turned, shrunk and blurred by ImageMagick lies where ImageMagick was
// told to lay it. -distort AffineProjection takes sx,rx,ry,sy,tx,ty; a place of
// the picture is that of a pixel's middle, as ours.
func TestLocateAgreesWithImageMagick(t *testing.T) {
	outside.Tool(t, "convert", "imagemagick")
	c, page := smallChart(21)
	g := drawGround(page)
	dir := t.TempDir()
	source, result := filepath.Join(dir, "page.pgm"), filepath.Join(dir, "scan.pgm")
	if err := os.WriteFile(source, pgm(g), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, turn := range []float64{-8.5, 93, 181} {
		sin, cos := math.Sincos(turn * math.Pi / 180)
		sx, sy := 0.97, 0.96
		toResult := Affine{XX: sx * cos, XY: -sy * sin, YX: sx * sin, YY: sy * cos}
		middle := toResult.ToPlane(float64(g.width)/2, float64(g.height)/2)
		toResult.X0, toResult.Y0 = 2200-middle.X, 2000-middle.Y
		outside.Run(t, "convert", "imagemagick", source, "-virtual-pixel", "white",
			"-define", "distort:viewport=2000x2000+1200+1000", "-distort", "AffineProjection",
			fmt.Sprintf("%.12g,%.12g,%.12g,%.12g,%.12g,%.12g", toResult.XX, toResult.YX, toResult.XY, toResult.YY, toResult.X0, toResult.Y0),
			"-blur", "0x1.2", "+repage", "-depth", "8", result)
		l := mustLocate(t, readPGM(t, result), c)
		var sum float64
		for _, p := range page.Patches {
			want := toResult.ToPlane(p.XMM*groundPerMM, p.YMM*groundPerMM)
			at := l.Warp.ToPlane(p.XMM, p.YMM)
			sum += math.Pow(math.Hypot(at.X-want.X+1200, at.Y-want.Y+1000)/groundPerMM, 2)
		}
		if rms := math.Sqrt(sum / float64(len(page.Patches))); rms > 0.02 || !l.CodeRead {
			t.Errorf("turned by %v: misplaced by %.3f mm, code read %v", turn, rms, l.CodeRead)
		}
	}
}

// pgm returns a ground as a picture in which ink is light.
func pgm(g *ground) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "P5\n%d %d\n255\n", g.width, g.height)
	for _, v := range g.v {
		b.WriteByte(byte(60 + 170*v))
	}
	return b.Bytes()
}

func readPGM(t *testing.T, name string) *Plane {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	p := &Plane{Reduced: 1}
	var most int
	if _, err := fmt.Sscanf(string(data[:min(len(data), 40)]), "P5\n%d %d\n%d", &p.Width, &p.Height, &most); err != nil || most != 255 {
		t.Fatalf("not a plain PGM: %v", err)
	}
	p.Root = make([]uint16, p.Width*p.Height)
	for i, v := range data[len(data)-len(p.Root):] {
		p.Root[i] = uint16(v) * 257
	}
	return p
}
