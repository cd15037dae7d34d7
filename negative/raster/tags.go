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
	tagTileWidth       = 322
	tagTileHeight      = 323
	tagTileOffsets     = 324
	tagTileByteCounts  = 325
	tagExtraSamples    = 338
	tagSampleFormat    = 339
	tagICC             = 34675
)

var tagNames = map[uint16]string{
	tagWidth: "ImageWidth", tagHeight: "ImageLength", tagBits: "BitsPerSample", tagCompression: "Compression",
	tagPhotometric: "PhotometricInterpretation", tagStripOffsets: "StripOffsets", tagSamples: "SamplesPerPixel",
	tagRowsPerStrip: "RowsPerStrip", tagStripByteCounts: "StripByteCounts", tagPlanar: "PlanarConfiguration",
	tagPredictor: "Predictor", tagTileWidth: "TileWidth", tagTileHeight: "TileLength", tagTileOffsets: "TileOffsets",
	tagTileByteCounts: "TileByteCounts", tagExtraSamples: "ExtraSamples", tagSampleFormat: "SampleFormat",
	tagICC: "ICC profile", tagFillOrder: "FillOrder", tagOrientation: "Orientation",
}

// tagName returns "tag 273 (StripOffsets)".
func tagName(tag uint16) string {
	if n := tagNames[tag]; n != "" {
		return fmt.Sprintf("tag %d (%s)", tag, n)
	}
	return fmt.Sprintf("tag %d", tag)
}

// compressions and photometrics name what this package does not read, from
// TIFF 6.0 and the registered private tags.
var compressions = map[uint32]string{
	2: "CCITT fax", 3: "CCITT fax", 4: "CCITT fax", 6: "old-style JPEG", 7: "JPEG",
	34661: "JBIG", 34712: "JPEG 2000", 34887: "LERC", 34892: "lossy JPEG", 34925: "LZMA",
	50000: "Zstandard", 50001: "WebP", 50002: "JPEG XL", 52546: "JPEG XL",
}

var photometrics = map[uint32]string{
	3: "palette colours", 4: "a transparency mask", 5: "CMYK colours", 6: "YCbCr colours",
	8: "CIE L*a*b* colours", 9: "ICC L*a*b* colours", 10: "ITU L*a*b* colours",
	32803: "camera raw data (a colour filter array)", 34892: "camera raw data (linear raw)",
}

// known returns "NAME (NUMBER)", or only what the number belongs to.
func known(names map[uint32]string, what string, v uint32) string {
	if n := names[v]; n != "" {
		return fmt.Sprintf("%s (%s %d)", n, what, v)
	}
	return fmt.Sprintf("%s %d", what, v)
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
