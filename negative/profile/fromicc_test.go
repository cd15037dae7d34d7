package profile

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/outside"
	"actinic/testdata/vectors"
)

// forms are curves that the tests below share: every type of curve that
// ICC.1:2010 knows, in the shapes that real encodings have.
var forms = map[string][]byte{
	"identity":     sampled(nil),
	"gamma 2.2":    gamma(0x0233),
	"table":        table(1024, decodeSRGB),
	"coarse table": table(5, func(v float64) float64 { return v * v }),
	"para 0":       para(0, 2.4),
	"para 1":       para(1, 2.2, 1.1, -0.1),
	"para 2":       para(2, 2.2, 0.95, -0.05, 0.1),
	"para 3 sRGB":  para(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045),
	"para 4":       para(4, 2.2, 0.9, 0.05, 0.3, 0.1, 0.02, 0.01),
}

// debian returns a profile that Debian ships.
func debian(t *testing.T, name string) []byte {
	t.Helper()
	return outside.File(t, "/usr/share/color/icc/ghostscript/"+name, "libgs-common")
}

// agrees holds FromICC against lcms2 on greys, primaries and random colours:
// within 0.2 L*.
func agrees(t *testing.T, name string, data []byte, channels int) {
	t.Helper()
	lum, err := FromICC(data, channels)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	pixels := pixelsOf(channels)
	rows := make([][]float64, len(pixels))
	scale := 257.0 // transicc takes 0..255 of light
	if channels == 4 {
		scale = 655.35 // and 0..100 of ink
	}
	for i, p := range pixels {
		for _, v := range p {
			rows[i] = append(rows[i], float64(v)/scale)
		}
	}
	for i, got := range transicc(t, rows, "-c0", "-i"+saved(t, "in.icc", data), "-o*Lab4") {
		want := min(max(got[0], 0), 100)
		if have := toLightness(one(lum, pixels[i]...)); math.Abs(have-want) > 0.2 {
			t.Errorf("%s: %v has L* %.4f, lcms2 says %.4f", name, pixels[i], have, want)
			return
		}
	}
}

func pixelsOf(channels int) [][]uint16 {
	random := rand.New(rand.NewPCG(1, 2))
	var pixels [][]uint16
	for i := range 256 {
		grey, p := uint16(257*i), make([]uint16, channels)
		colour := make([]uint16, channels)
		for c := range p {
			p[c], colour[c] = grey, uint16(random.UintN(65536))
		}
		pixels = append(pixels, p, colour)
	}
	for c := range channels {
		p := make([]uint16, channels)
		p[c] = 65535
		pixels = append(pixels, p)
	}
	for range 2000 * (channels - 1) { // dense, corners and edges more than by chance
		p := make([]uint16, channels)
		for c := range p {
			p[c] = uint16(min(max(random.IntN(80000)-7000, 0), 65535))
		}
		pixels = append(pixels, p)
	}
	return pixels
}

func TestCurveProfilesAgreeWithLcms(t *testing.T) {
	for name, trc := range forms {
		agrees(t, "RGB "+name, rgbProfile(trc), 3)
		agrees(t, "grey XYZ "+name, greyOf("XYZ ", trc), 1)
		agrees(t, "grey Lab "+name, greyOf("Lab ", trc), 1)
	}
}

func TestTableProfilesAgreeWithLcms(t *testing.T) {
	for _, pcs := range []string{"Lab ", "XYZ "} {
		for _, kind := range []string{"mft1", "mft2", "mAB ", "linear"} {
			if kind == "mft1" && pcs == "XYZ " {
				continue // ICC.1:2010, 10.9 allows it with Lab only
			}
			agrees(t, kind+" "+pcs, tableProfile(kind, pcs), 3)
		}
	}
	agrees(t, "grey table", greyTable(), 1)
}

func TestShippedProfilesAgreeWithLcms(t *testing.T) {
	for _, name := range []string{"a98.icc", "default_rgb.icc", "esrgb.icc", "ps_rgb.icc", "rommrgb.icc", "srgb.icc", "scrgb.icc"} {
		agrees(t, name, debian(t, name), 3)
	}
	for _, name := range []string{"default_gray.icc", "ps_gray.icc", "sgray.icc"} {
		agrees(t, name, debian(t, name), 1)
	}
}

// TestUntaggedIsSRGB: an untagged picture and one with Debian's sRGB profile
// give the same L*.
func TestUntaggedIsSRGB(t *testing.T) {
	tagged, err := FromICC(debian(t, "srgb.icc"), 3)
	if err != nil {
		t.Fatal(err)
	}
	plain := SRGB(3)
	for _, p := range pixelsOf(3) {
		a, b := toLightness(one(plain, p...)), toLightness(one(tagged, p...))
		if math.Abs(a-b) > 0.05 {
			t.Fatalf("%v: L* %.3f untagged, %.3f tagged", p, a, b)
		}
	}
}

// TestGreyVectors: lcms2 2.14, relative colorimetric, lcms2_gray.csv. The codes
// are rounded to 16 bits here, which is up to 0.02 L* on the steepest curve.
func TestGreyVectors(t *testing.T) {
	five := []uint16{0, 6554, 22937, 45875, 65535}
	profiles := map[string][]byte{
		"PCSXYZ_gamma2.2": greyOf("XYZ ", gamma(0x0233)),
		"PCSLab_gamma1.0": greyOf("Lab ", sampled(nil)),
		"PCSLab_tab5":     greyOf("Lab ", sampled(five)),
		"PCSXYZ_tab5":     greyOf("XYZ ", sampled(five)),
	}
	rows := 0
	v := vectors.Read(t, "lcms2_gray.csv")
	for i := range v.Rows {
		if v.Cell(i, "dir") != "gray2lab" {
			continue
		}
		name := v.Cell(i, "profile")
		lum, err := FromICC(profiles[name], 1)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		code := uint16(math.Round(65535 * v.Float(i, "in")))
		if got, want := toLightness(one(lum, code)), v.Float(i, "out1"); math.Abs(got-want) > 0.02 {
			t.Errorf("%s of %s: L* %.4f, want %.4f", name, v.Cell(i, "in"), got, want)
		}
		rows++
	}
	if rows < 20 {
		t.Errorf("only %d rows", rows)
	}
}

// TestTransferFunctions: the encodings of transfer_encode.csv (sRGB, Adobe RGB
// (1998), ROMM, gamma 2.2 and 1.8), decoded. Tolerance: half a 16-bit code.
func TestTransferFunctions(t *testing.T) {
	encodings := map[string][]byte{
		"sRGB": forms["para 3 sRGB"], "gamma_563_256": gamma(563), "ROMM": para(3, 1.8, 1, 0, 1.0/16, 0.03125),
		"g2.2": para(0, 2.2), "g1.8": para(0, 1.8),
	}
	v := vectors.Read(t, "transfer_encode.csv")
	for name, trc := range encodings {
		lum, err := FromICC(greyOf("XYZ ", trc), 1)
		if err != nil {
			t.Fatal(err)
		}
		for i := range v.Rows {
			linear, code := v.Float(i, "linear"), uint16(math.Round(65535*v.Float(i, name)))
			if got := one(lum, code); math.Abs(got-linear) > 3e-5 {
				t.Errorf("encoding %s of %g: %.7f", name, linear, got)
			}
		}
	}
}

func TestProfilesThatAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		data     []byte
		channels int
		says     string // part of the message
	}{
		"link":        {profileOf("link", "GRAY", "GRAY"), 1, "a device link"},
		"abstract":    {profileOf("abst", "RGB ", "Lab "), 3, "an abstract profile"},
		"named":       {profileOf("nmcl", "RGB ", "Lab "), 3, "named colours"},
		"unknown":     {profileOf("zzzz", "RGB ", "Lab "), 3, `class "zzzz"`},
		"five inks":   {profileOf("prtr", "5CLR", "Lab "), 3, `colour space "5CLR"`},
		"other table": {profileOf("scnr", "RGB ", "Lab ", tagData{"A2B0", make([]byte, 40)}), 3, "tag A2B0"},
		"too white":   {rgbWhite(), 3, "white brighter"},
		"white table": {whiteTable(), 3, "white brighter"},
	} {
		_, err := FromICC(c.data, c.channels)
		var u *raster.UnsupportedError
		if !errors.As(err, &u) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want an UnsupportedError with %q", name, err, c.says)
		}
	}
}

// rgbWhite is a matrix profile whose channels add to twice the white.
func rgbWhite() []byte {
	tags := []tagData{}
	for _, l := range []string{"r", "g", "b"} {
		tags = append(tags, tagData{l + "XYZ", xyz([3]float64{0.6, 0.7, 0.5})}, tagData{l + "TRC", sampled(nil)})
	}
	return profileOf("mntr", "RGB ", "XYZ ", tags...)
}

func TestBrokenProfilesAreNamed(t *testing.T) {
	grey := greyOf("XYZ ", forms["gamma 2.2"])
	for name, c := range map[string]struct {
		data     []byte
		channels int
		says     string
	}{
		"empty":          {nil, 1, "has 0 bytes"},
		"not a profile":  {make([]byte, 200), 1, "signature"},
		"cut short":      {grey[:len(grey)-2], 1, "cut short"},
		"many tags":      {patched(grey, 128, 0x7f), 1, "tag table"},
		"other channels": {grey, 3, "3 channels"},
		"connection":     {greyOf("HLS ", forms["identity"]), 1, "connection space"},
		"no curve":       {profileOf("mntr", "GRAY", "XYZ "), 1, "tag kTRC: is missing"},
		"no matrix":      {profileOf("mntr", "RGB ", "XYZ "), 3, "tag rXYZ: is missing"},
		"curve type":     {greyOf("XYZ ", append([]byte("text"), make([]byte, 20)...)), 1, "tag kTRC: is of type"},
		"curve cut":      {greyOf("XYZ ", forms["table"][:100]), 1, "claims 1024 curve points"},
		"curve tiny":     {greyOf("XYZ ", forms["table"][:9]), 1, "9 bytes"},
		"gamma 0":        {greyOf("XYZ ", gamma(0)), 1, "gamma 0"},
		"para form":      {greyOf("XYZ ", para(9, 1)), 1, "function type 9"},
		"para cut":       {greyOf("XYZ ", para(3, 1)), 1, "expected 32"},
		"para slope":     {greyOf("XYZ ", para(1, 2, 0, 1)), 1, "slope 0"},
		"table channels": {profileOf("scnr", "RGB ", "Lab ", tagData{"A2B0", mft2(1, 2, make([]float64, 6))}), 3, "from 1 to 3 channels"},
		"table cut":      {profileOf("scnr", "RGB ", "Lab ", tagData{"A2B0", colourTable("mft2", "Lab ")[:500]}), 3, "tag A2B0"},
		"inks":           {profileOf("prtr", "CMYK", "Lab "), 3, "3 channels"},
		"inks, no table": {profileOf("prtr", "CMYK", "Lab "), 4, "tag A2B0: is missing"},
		"black white":    {rgbBlack(), 3, "rXYZ, gXYZ, bXYZ"},
	} {
		_, err := FromICC(c.data, c.channels)
		var f *raster.FormatError
		if !errors.As(err, &f) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want a FormatError with %q", name, err, c.says)
		}
	}
}

func rgbBlack() []byte {
	tags := []tagData{}
	for _, l := range []string{"r", "g", "b"} {
		tags = append(tags, tagData{l + "XYZ", xyz([3]float64{})}, tagData{l + "TRC", sampled(nil)})
	}
	return profileOf("mntr", "RGB ", "XYZ ", tags...)
}

func patched(data []byte, at int, v byte) []byte {
	c := append([]byte(nil), data...)
	c[at] = v
	return c
}

// FuzzFromICC: any bytes give an error or a luminance of 0 to 1, never a panic.
func FuzzFromICC(f *testing.F) {
	f.Add(rgbProfile(forms["para 4"]))
	f.Add(greyOf("Lab ", forms["table"]))
	f.Add(greyTable())
	f.Add(tableProfile("mft2", "Lab "))
	f.Add(tableProfile("mAB ", "XYZ "))
	f.Add(inkProfile("Lab ", inkLUT("mft1", 3, "Lab ")))
	f.Add(inkProfile("XYZ ", inkModular("XYZ ", true)))
	f.Add(profileOf("scnr", "RGB ", "XYZ ", tagData{"A2B0", rgbModular("XYZ ", true, false)}))
	f.Add([]byte("acsp"))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, channels := range []int{1, 3, 4} {
			l, err := FromICC(data, channels)
			if err != nil {
				continue
			}
			for _, v := range []uint16{0, 1, 30000, 65535} {
				if y := one(l, []uint16{v, v, 65535 - v, v / 2}[:channels]...); !(y >= 0 && y <= 1) {
					t.Errorf("%d has luminance %g", v, y)
				}
			}
		}
	})
}
