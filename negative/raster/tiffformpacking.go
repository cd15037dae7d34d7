package raster

// Compression values of TIFF 6.0, pages 30, 57; 7, 8 and 32946 of Adobe's TIFF
// Technical Note 2 (1995 and 2002).
const (
	compressionNone       = 1
	compressionLZW        = 5
	compressionJPEG       = 7
	compressionDeflate    = 8
	compressionOldDeflate = 32946
	compressionPackBits   = 32773
)

// readPacking reads how samples are laid out and compressed.
func (f *tiffForm) readPacking(d *ifd) error {
	var values [3]uint64
	for i, tag := range []uint16{tagCompression, tagPlanar, tagFillOrder} {
		v, err := d.uint(tag, 1)
		if err != nil {
			return err
		}
		values[i] = v
	}
	f.compression = values[0]
	switch f.compression {
	case compressionNone, compressionPackBits, compressionLZW, compressionDeflate, compressionOldDeflate:
	case compressionJPEG:
		if err := f.readJPEG(d); err != nil {
			return err
		}
	default:
		return unread(tagCompression, f.compression, known(compressions, "unknown", f.compression)+" compression", fixCompression)
	}
	for i, tag := range []uint16{tagPlanar, tagFillOrder} {
		if v := values[i+1]; v != 1 && v != 2 {
			return broken("TIFF", tagName(tag), "%d, expected 1 or 2", v)
		}
	}
	f.planar = values[1] == 2 && f.samples > 1
	// JPEG data have an order of bits of their own.
	f.reversed = values[2] == 2 && f.compression != compressionJPEG
	return nil
}

// maxTables bounds JPEG tables: at most four of each kind, some kilobytes.
const maxTables = 1 << 16

func (f *tiffForm) readJPEG(d *ifd) (err error) {
	if f.bits != 8 || f.float {
		return unread(tagBits, f.bits, "JPEG compression of samples that have not 8 bits", fixCompression)
	}
	f.jpegTables, err = d.bytes(tagJPEGTables, maxTables)
	return err
}

// Predictors of TIFF 6.0, section 14, and of Adobe's TIFF Technical Note 3 (2005).
const (
	predictNothing    = 1
	predictDifference = 2
	predictFloat      = 3
)

// readPredictor reads tag 317, which belongs to LZW and deflate only.
func (f *tiffForm) readPredictor(d *ifd) error {
	p, err := d.uint(tagPredictor, predictNothing)
	if err != nil {
		return err
	}
	switch f.compression {
	case compressionNone, compressionPackBits, compressionJPEG:
		p = predictNothing
	}
	f.predictor = p
	switch {
	case p < predictNothing || p > predictFloat:
		return unread(tagPredictor, p, "an unknown predictor", fixCompression)
	case p == predictFloat && !f.float:
		return unread(tagPredictor, p, "the floating-point predictor on whole numbers", fixCompression)
	}
	return nil
}

// inflates reports whether blocks are deflated.
func (f *tiffForm) inflates() bool {
	return f.compression == compressionDeflate || f.compression == compressionOldDeflate
}
