package raster_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// decode reads a file in memory to its end and returns the first error.
func decode(file []byte) error {
	s, err := raster.NewSource(bytes.NewReader(file), int64(len(file)), "shed.tif")
	if err != nil {
		return err
	}
	defer s.Close()
	band := raster.NewBand(s.Header(), 1)
	for {
		if _, err := s.ReadRows(background, band); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// refused checks that an error is one that a user can act on: it names the file
// and holds what, and a hint.
func refused(t *testing.T, name string, err error, kind any, what string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) {
		t.Errorf("%s: %v, want a *fault.Error", name, err)
		return
	}
	if f.File != "shed.tif" || f.Hint == "" || !strings.Contains(f.Error(), what) {
		t.Errorf("%s: %q, hint %q, want %q in it", name, f.Error(), f.Hint, what)
	}
	if !errors.As(err, kind) {
		t.Errorf("%s: %v is no %T", name, err, kind)
	}
}

var little = binary.LittleEndian

func TestTIFFRefusesWhatIsBroken(t *testing.T) {
	cut := func(n int) []byte { return makeTIFF(little, twelve, plain())[:n] }
	made := func(data []byte, more ...tag) []byte { return makeTIFF(little, data, with(plain(), more...)) }
	wrongSum := zipped(twelve)
	wrongSum[len(wrongSum)-1] ^= 255
	for name, c := range map[string]struct {
		file []byte
		what string
	}{
		"nothing":                 {nil, "is empty"},
		"a header alone":          {cut(8), "directory at byte 20"},
		"half a header":           {cut(5), "needs 8 bytes"},
		"half a directory":        {cut(60), "directory at byte 20"},
		"no directory":            {[]byte("II*\x00\x00\x00\x00\x00"), "no picture"},
		"directory out of file":   {[]byte("MM\x00*\xff\xff\xff\xff"), "directory at byte 4294967295"},
		"directories in a circle": {chain(makeTIFF(little, twelve, plain()), 20), "in a circle"},
		"no width":                {makeTIFF(little, twelve, without(plain(), width)), "0 x 3 pixels"},
		"no height":               {made(twelve, longs(height, 0)), "4 x 0 pixels"},
		"no meaning":              {makeTIFF(little, twelve, without(plain(), photometric)), "PhotometricInterpretation"},
		"RGB with two samples":    {made(twelve, shorts(photometric, 2), shorts(samplesPerPixel, 2)), "colours need 3"},
		"strip out of file":       {made(twelve, longs(stripOffsets, 1<<20)), "strip 0: has 12 bytes from byte 1048576 on"},
		"strip beyond 4 GiB":      {made(twelve, longs(stripOffsets, 1<<32-1), longs(stripByteCounts, 1<<32-1)), "strip 0"},
		"empty strip":             {made(twelve, longs(stripByteCounts, 0)), "is empty"},
		"strip too short":         {made(twelve, longs(stripByteCounts, 11)), "only 11 bytes"},
		"one strip of three":      {made(twelve, longs(rowsPerStrip, 1)), "names 1 blocks of data, the picture has 3"},
		"strips without rows":     {made(twelve, longs(rowsPerStrip, 0)), "RowsPerStrip"},
		"short strip of several": {made(twelve, longs(rowsPerStrip, 1), longs(stripOffsets, 8, 12, 16), longs(stripByteCounts, 6, 2, 4)),
			"strip 1: ends after 0 of 1 rows"},
		"lengths missing, packed":     {makeTIFF(little, twelve, with(without(plain(), stripByteCounts), shorts(compression, 5))), "StripByteCounts"},
		"deflate that is none":        {made(twelve, shorts(compression, 8)), "damaged"},
		"deflate with a wrong sum":    {made(wrongSum, shorts(compression, 8), longs(stripByteCounts, uint32(len(wrongSum)))), "strip 0: the checksum of its data is wrong"},
		"LZW that is none":            {made([]byte{0xff, 0xff, 0xff, 0xff}, shorts(compression, 5), longs(stripByteCounts, 4)), "strip 0"},
		"PackBits that ends":          {made([]byte{3, 1, 2}, shorts(compression, 32773), longs(stripByteCounts, 3)), "ends after 0 of 3 rows"},
		"tile without size":           {made(twelve, longs(tileWidth, 16), longs(tileLength, 0)), "tiles of 16 x 0"},
		"tile wider than any":         {made(twelve, longs(tileWidth, 1<<20), longs(tileLength, 16)), "tiles of 1048576 x 16"},
		"a field of no type":          {made(twelve, tag{compression, 99, []uint32{1}}), "field type 99"},
		"a ratio for a width":         {made(twelve, tag{width, 5, []uint32{4, 1}}), "whole numbers"},
		"array out of file":           {made(twelve, longs(rowsPerStrip, 1), tag{stripOffsets, 4, make([]uint32, 3)})[:140], "needs"},
		"planes neither 1 nor 2":      {made(twelve, shorts(planar, 3)), "PlanarConfiguration"},
		"a picture for a few bytes":   {made(twelve, longs(width, 40000), longs(height, 40000), longs(rowsPerStrip, 40000)), "claims a picture of 1600000000 bytes"},
		"deflate for a few bytes":     {made(twelve, longs(width, 40000), longs(height, 40000), longs(rowsPerStrip, 40000), shorts(compression, 8)), "only 12 bytes"},
		"palette without colours":     {made(twelve, shorts(photometric, 3)), "ColorMap (tag 320): has 0 values, expected 768"},
		"palette cut short":           {made(twelve, shorts(photometric, 3), shorts(320, make([]uint32, 767)...)), "has 767 values"},
		"JPEG that is none":           {made(twelve, shorts(compression, 7)), "strip 0, JPEG: does not begin"},
		"JPEG tile for a few bytes":   {made(twelve, shorts(compression, 7), longs(tileWidth, 32768), longs(tileLength, 32768), longs(tileOffsets, 8), longs(tileCounts, 12)), "only 12 bytes"},
		"bits of a byte neither way":  {made(twelve, shorts(266, 3)), "FillOrder"},
		"BigTIFF cut short":           {[]byte("II+\x00\x08\x00\x00\x00\x10\x00\x00\x00"), "header: needs 8 bytes"},
		"BigTIFF with odd offsets":    {[]byte("MM\x00+\x00\x04\x00\x00\x00\x00\x00\x00\x00\x00\x00\x10"), "offsets of 4 bytes"},
		"BigTIFF far away":            {[]byte("II+\x00\x08\x00\x00\x00\xff\xff\xff\xff\xff\xff\xff\xff"), "directory at byte 9223372036854775807"},
		"BigTIFF of endless fields":   {append([]byte("II+\x00\x08\x00\x00\x00\x10\x00\x00\x00\x00\x00\x00\x00"), 0, 0, 0, 0, 0, 0, 0, 16), "fields, expected at most"},
		"a profile larger than files": {made(twelve, tag{34675, 7, []uint32{1, 2, 3, 4, 5}})[:148], "ICC profile"},
	} {
		var f *raster.FormatError
		refused(t, name, decode(c.file), &f, c.what)
	}
}

func TestTIFFNamesWhatItCannotRead(t *testing.T) {
	made := func(more ...tag) []byte { return makeTIFF(binary.BigEndian, twelve, with(plain(), more...)) }
	for name, c := range map[string]struct {
		file []byte
		what string
	}{
		"inks of no profile":           {made(shorts(photometric, 5), shorts(samplesPerPixel, 4)), "CMYK colours without an embedded profile (PhotometricInterpretation, tag 262, is 5)"},
		"other inks":                   {made(shorts(photometric, 5), shorts(samplesPerPixel, 4), shorts(332, 2)), "InkSet, tag 332, is 2"},
		"six inks":                     {made(shorts(photometric, 5), shorts(samplesPerPixel, 6), shorts(334, 6)), "NumberOfInks, tag 334, is 6"},
		"inks from 10 to 245":          {made(shorts(photometric, 5), shorts(samplesPerPixel, 4), tag{34675, 7, []uint32{1}}, shorts(336, 10, 245)), "DotRange, tag 336, is [10 245]"},
		"YCbCr":                        {made(shorts(photometric, 6), shorts(samplesPerPixel, 3)), "YCbCr colours without JPEG compression (PhotometricInterpretation, tag 262, is 6)"},
		"YCbCr in planes":              {made(shorts(photometric, 6), shorts(samplesPerPixel, 3), shorts(compression, 7), shorts(planar, 2)), "PlanarConfiguration, tag 284, is 2"},
		"YCbCr and alpha":              {made(shorts(photometric, 6), shorts(samplesPerPixel, 4), shorts(compression, 7)), "SamplesPerPixel, tag 277, is 4"},
		"ITU Lab":                      {made(shorts(photometric, 10)), "ITU L*a*b* colours (PhotometricInterpretation, tag 262, is 10)"},
		"Lab of 12 bits":               {made(shorts(photometric, 8), shorts(bits, 12)), "BitsPerSample, tag 258, is 12"},
		"palette of 5 bits":            {made(shorts(photometric, 3), shorts(bits, 5)), "BitsPerSample, tag 258, is 5"},
		"camera raw":                   {made(shorts(photometric, 32803)), "camera raw"},
		"unknown colours":              {made(shorts(photometric, 999)), "PhotometricInterpretation, tag 262, is 999"},
		"signed":                       {made(shorts(sampleFormat, 2)), "numbers with sign (SampleFormat, tag 339, is 2)"},
		"complex numbers":              {made(shorts(sampleFormat, 6)), "SampleFormat, tag 339, is 6"},
		"mixed formats":                {made(shorts(samplesPerPixel, 2), shorts(sampleFormat, 1, 3)), "SampleFormat, tag 339, is [1 3]"},
		"float of 24 bits":             {made(shorts(bits, 24), shorts(sampleFormat, 3)), "floating-point samples of 24 bits (BitsPerSample, tag 258, is 24)"},
		"24 bits":                      {made(shorts(bits, 24)), "24-bit samples (BitsPerSample, tag 258, is 24)"},
		"no bits":                      {made(shorts(bits, 0)), "0-bit samples (BitsPerSample, tag 258, is 0)"},
		"uneven bits":                  {made(shorts(bits, 5, 6, 5), shorts(photometric, 2), shorts(samplesPerPixel, 3)), "different depth (BitsPerSample, tag 258, is [5 6 5])"},
		"JPEG of 16 bits":              {made(shorts(compression, 7), shorts(bits, 16)), "BitsPerSample, tag 258, is 16"},
		"old JPEG":                     {made(shorts(compression, 6)), "old-style JPEG compression (Compression, tag 259, is 6)"},
		"fax":                          {made(shorts(compression, 4)), "CCITT fax compression (Compression, tag 259, is 4)"},
		"Zstandard":                    {made(shorts(compression, 50000)), "Zstandard"},
		"unknown packing":              {made(shorts(compression, 12345)), "Compression, tag 259, is 12345"},
		"float predictor":              {made(shorts(compression, 8), shorts(predictor, 3)), "floating-point predictor on whole numbers (Predictor, tag 317, is 3)"},
		"unknown predictor":            {made(shorts(compression, 5), shorts(predictor, 4)), "Predictor, tag 317, is 4"},
		"extra of a new kind":          {made(shorts(samplesPerPixel, 2), shorts(extraSample, 7)), "ExtraSamples, tag 338, is 7"},
		"white is zero, premultiplied": {made(shorts(photometric, 0), shorts(samplesPerPixel, 2), shorts(extraSample, 1)), "ExtraSamples, tag 338, is 1"},
		"many samples":                 {made(shorts(samplesPerPixel, 200)), "200 samples"},
		"too wide":                     {made(longs(width, 1<<20+1)), "1048577 x 3"},
		"2^31 pixels and up":           {made(longs(width, 50000), longs(height, 50000)), "50000 x 50000"},
		"many tiles":                   {made(longs(width, 1<<20), longs(tileWidth, 16), longs(tileLength, 16)), "TileWidth, tag 322, is 16"},
	} {
		var u *raster.UnsupportedError
		refused(t, name, decode(c.file), &u, c.what)
	}
}

// First bytes as the formats' own descriptions give them.
func TestOtherFilesAreNamed(t *testing.T) {
	for head, what := range map[string]string{
		"GIF89a\x01\x00":                 "GIF",
		"RIFF\x00\x00\x00\x00WEBPVP8 ":   "WebP",
		"\x00\x00\x00\x18ftypheic\x00":   "HEIC",
		"8BPS\x00\x01":                   "layered",
		"\x00\x00\x00\x0cjP  \r\n\x87\n": "JPEG 2000",
		"BM\x00\x00":                     "BMP",
		"%PDF-1.7\n":                     "PDF",
		"step,tablet_density\n1,0.05\n":  "text",
		"\u00e9t\u00e9, the last one \u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9": "text",
		"\x00\x01\x02\x03": "unknown kind",
	} {
		var u *raster.UnsupportedError
		refused(t, what, decode([]byte(head)), &u, what)
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	empty := filepath.Join(dir, "empty.tif")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for path, what := range map[string]string{
		dir: "is a folder", empty: "is empty", filepath.Join(dir, "none.tif"): "does not exist", os.DevNull: "not an ordinary file",
	} {
		_, err := raster.Open(path)
		var f *fault.Error
		if !errors.As(err, &f) || f.File != path || f.Hint == "" || !strings.Contains(f.What, what) {
			t.Errorf("%s: %v, want %q", path, err, what)
		}
	}
}

// TestNamesDoNotCount opens a TIFF file that is called .jpg.
func TestNamesDoNotCount(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.jpg")
	if err := os.WriteFile(path, makeTIFF(little, twelve, plain()), 0o600); err != nil {
		t.Fatal(err)
	}
	h, p := open(t, path)
	if h.Format != "TIFF" {
		t.Errorf("format %q", h.Format)
	}
	same(t, "picture", p, expanded(4, 3, 1, twelve))
}

// TestHostileFilesTakeNoMemory opens files that claim a gigabyte and more.
func TestHostileFilesTakeNoMemory(t *testing.T) {
	jpegHead := "\xff\xd8\xff\xc0\x00\x11\x08\x9c\x40\x9c\x40\x03\x01\x22\x00\x02\x11\x01\x03\x11\x01\xff\xda\x00\x0c\x03\x01\x00\x02\x11\x03\x11\x00\x3f\x00"
	huge := longs(width, 45000)
	for name, file := range map[string][]byte{
		"TIFF":            makeTIFF(little, twelve, with(plain(), huge, longs(height, 45000), longs(rowsPerStrip, 45000))),
		"TIFF of tiles":   makeTIFF(little, twelve, with(plain(), longs(tileWidth, 1<<31), longs(tileLength, 1<<31), longs(tileOffsets, 8), longs(tileCounts, 12))),
		"TIFF with array": makeTIFF(little, twelve, with(plain(), tag{stripOffsets, 4, nil})),
		"PNG":             makePNG(ihdr(45000, 45000, 16, 6, 1), chunk{"IDAT", twelve}),
		"JPEG":            []byte(jpegHead),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		err := decode(file)
		runtime.ReadMemStats(&after)
		if err == nil {
			t.Errorf("%s: no error", name)
		}
		if took := after.TotalAlloc - before.TotalAlloc; took > 8<<20 {
			t.Errorf("%s: took %d MB", name, took>>20)
		}
	}
}
