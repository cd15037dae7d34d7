package raster

// What a picture may claim before any of it is believed.
const (
	maxPixels = 1 << 31 // above, row arithmetic of other programs breaks too
	maxSide   = 1 << 20 // a row must fit in memory; at 360 ppi this is 74 m
	// maxArray bounds the bytes of an array in a directory: a strip a row, eight
	// planes, numbers of 8 bytes.
	maxArray = 64 * maxSide
	// maxText bounds descriptions and maxProfile embedded profiles: the
	// largest in use have some 10 MB.
	maxText    = 1 << 20
	maxProfile = 16 << 20
)

// checkSize refuses pictures without pixels and those too large to mean.
func checkSize(format string, width, height uint64) error {
	if width == 0 || height == 0 {
		return broken(format, "size", "claims %d x %d pixels", width, height)
	}
	if width > maxSide || height > maxSide || width*height > maxPixels {
		return &UnsupportedError{Format: format, Feature: sizeText(width, height),
			Fix: "the limits are 2^31 pixels and 2^20 on a side; if the picture is smaller than that, the file is damaged"}
	}
	return nil
}

// checkPlausible refuses a file that is too small for the picture it claims:
// packed bytes cannot unfold to needed bytes even at the best ratio of the
// compression.
func checkPlausible(format string, packed, needed, ratio int64) error {
	if packed < needed/ratio {
		return broken(format, "size", "claims a picture of %d bytes, but has only %d bytes of data for it", needed, packed)
	}
	return nil
}

// The most that a byte can unfold to: deflate 258 bytes from 2 bits (RFC 1951,
// 3.2.5); LZW about 4096/12*8 (TIFF 6.0, section 13); PackBits 128 from 2 bytes
// (TIFF 6.0, section 9); JPEG 64 samples from 2 bits (ITU-T T.81, F.1.2), up to
// 16 times the pixels where a component is reduced.
const (
	deflateRatio  = 1032
	lzwRatio      = 2731
	packBitsRatio = 64
	jpegRatio     = 4096
)
