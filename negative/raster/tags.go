package raster

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Tags of TIFF 6.0 (1992), and of ICC.1:2010, B.5 (34675).
const (
	tagNewSubfileType  = 254
	tagWidth           = 256
	tagHeight          = 257
	tagBits            = 258
	tagCompression     = 259
	tagPhotometric     = 262
	tagFillOrder       = 266
	tagDescription     = 270
	tagStripOffsets    = 273
	tagOrientation     = 274
	tagSamples         = 277
	tagRowsPerStrip    = 278
	tagStripByteCounts = 279
	tagXResolution     = 282
	tagYResolution     = 283
	tagPlanar          = 284
	tagResolutionUnit  = 296
	tagSoftware        = 305
	tagPredictor       = 317
	tagColorMap        = 320
	tagTileWidth       = 322
	tagTileHeight      = 323
	tagTileOffsets     = 324
	tagTileByteCounts  = 325
	tagInkSet          = 332
	tagNumberOfInks    = 334
	tagDotRange        = 336
	tagExtraSamples    = 338
	tagSampleFormat    = 339
	tagJPEGTables      = 347
	tagICC             = 34675
)

var tagNames = map[uint16]string{
	tagWidth: "ImageWidth", tagHeight: "ImageLength", tagBits: "BitsPerSample", tagCompression: "Compression",
	tagPhotometric: "PhotometricInterpretation", tagStripOffsets: "StripOffsets", tagSamples: "SamplesPerPixel",
	tagRowsPerStrip: "RowsPerStrip", tagStripByteCounts: "StripByteCounts", tagPlanar: "PlanarConfiguration",
	tagPredictor: "Predictor", tagTileWidth: "TileWidth", tagTileHeight: "TileLength", tagTileOffsets: "TileOffsets",
	tagTileByteCounts: "TileByteCounts", tagExtraSamples: "ExtraSamples", tagSampleFormat: "SampleFormat",
	tagICC: "the ICC profile", tagFillOrder: "FillOrder", tagOrientation: "Orientation",
	tagColorMap: "ColorMap", tagInkSet: "InkSet", tagNumberOfInks: "NumberOfInks", tagDotRange: "DotRange",
	tagJPEGTables: "JPEGTables",
}

// tagName returns "StripOffsets (tag 273)".
func tagName(tag uint16) string {
	if n := tagNames[tag]; n != "" {
		return fmt.Sprintf("%s (tag %d)", n, tag)
	}
	return fmt.Sprintf("tag %d", tag)
}

// unread says which value of which tag this package does not read, and what to
// do.
func unread(tag uint16, value any, what, fix string) error {
	return &UnsupportedError{Format: "TIFF", Feature: fmt.Sprintf("%s (%s, tag %d, is %v)", what, tagNames[tag], tag, value), Fix: fix}
}

// What to do about a picture that this package does not read.
const (
	fixDepth       = "save the picture with 8 or 16 bits a sample"
	fixColours     = "convert the picture to grey or RGB and save it as TIFF"
	fixAlpha       = "flatten the picture, so that it has no transparency, and save it anew"
	fixCompression = "save the picture without compression, or with LZW or ZIP (deflate)"
)

// compressions and photometrics name what this package does not read, from
// TIFF 6.0 and the registered private tags.
var compressions = map[uint64]string{
	2: "CCITT fax", 3: "CCITT fax", 4: "CCITT fax", 6: "old-style JPEG",
	34661: "JBIG", 34712: "JPEG 2000", 34887: "LERC", 34892: "lossy JPEG", 34925: "LZMA",
	50000: "Zstandard", 50001: "WebP", 50002: "JPEG XL", 52546: "JPEG XL",
}

var photometrics = map[uint64]string{
	4: "a transparency mask", 10: "ITU L*a*b* colours",
	32803: "camera raw data (a colour filter array)", 34892: "camera raw data (linear raw)",
}

// known returns the name of v, or what it is otherwise.
func known(names map[uint64]string, otherwise string, v uint64) string {
	if n := names[v]; n != "" {
		return n
	}
	return otherwise
}

// trimText cuts at the first NUL and drops what is not text.
func trimText(raw []byte) string {
	s, _, _ := strings.Cut(string(raw), "\x00")
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\uFFFD")
	}
	return strings.TrimSpace(s)
}

func sizeText(width, height uint64) string {
	return fmt.Sprintf("a size of %d x %d pixels", width, height)
}
