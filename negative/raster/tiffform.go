package raster

import "fmt"

// tiffForm is how a TIFF file stores its samples, checked to be something that
// tiffDecoder reads.
type tiffForm struct {
	width, height int
	bits          int
	samples       int // of a pixel in the file
	channels      int // of them colour
	alpha         alphaKind
	alphaAt       int // index of the alpha sample
	whiteIsZero   bool
	compression   uint32
	predictor     bool
	planar        bool // samples in separate planes
	blockWidth    int  // of a tile; the picture's width for strips
	blockHeight   int
	tiled         bool
	offsets       []uint32
	counts        []uint32
}

type alphaKind int

const (
	noAlpha alphaKind = iota
	associated
	unassociated
)

// Compression values of TIFF 6.0, pages 30, 57; 8 and 32946 of Adobe's TIFF
// Technical Note 2 (2002).
const (
	compressionNone       = 1
	compressionLZW        = 5
	compressionDeflate    = 8
	compressionOldDeflate = 32946
	compressionPackBits   = 32773
)

// newTIFFForm reads and checks a directory.
func newTIFFForm(d *ifd) (*tiffForm, error) {
	f := &tiffForm{}
	for _, step := range []func(*ifd) error{f.readSize, f.readSamples, f.readColour, f.readExtra, f.readPacking, f.readBlocks, f.checkBlocks} {
		if err := step(d); err != nil {
			return nil, err
		}
	}
	return f, nil
}

func (f *tiffForm) readSize(d *ifd) error {
	w, err := d.uint(tagWidth, 0)
	if err != nil {
		return err
	}
	h, err := d.uint(tagHeight, 0)
	if err != nil {
		return err
	}
	f.width, f.height = int(w), int(h)
	return checkSize("TIFF", uint64(w), uint64(h))
}

func (f *tiffForm) readSamples(d *ifd) error {
	n, err := d.uint(tagSamples, 1)
	if err != nil {
		return err
	}
	if n < 1 || n > 32 {
		return unsupported("TIFF", "%d samples a pixel", n)
	}
	f.samples = int(n)
	bits, err := d.uints(tagBits)
	if err != nil {
		return err
	}
	if len(bits) == 0 {
		bits = []uint32{1}
	}
	for _, b := range bits {
		if b != bits[0] {
			return unsupported("TIFF", "samples of different depth (%d and %d bits)", bits[0], b)
		}
	}
	f.bits = int(bits[0])
	return f.readSampleFormat(d)
}

// readSampleFormat lets whole numbers without sign pass (TIFF 6.0, section 19).
func (f *tiffForm) readSampleFormat(d *ifd) error {
	formats, err := d.uints(tagSampleFormat)
	if err != nil {
		return err
	}
	for _, v := range formats {
		switch v {
		case 1, 4: // 4 is "undefined"
		case 2:
			return unsupported("TIFF", "%d-bit samples with sign", f.bits)
		case 3:
			return unsupported("TIFF", "%d-bit floating-point samples", f.bits)
		default:
			return unsupported("TIFF", "sample format %d", v)
		}
	}
	if f.bits != 8 && f.bits != 16 {
		return unsupported("TIFF", "%d-bit samples", f.bits)
	}
	return nil
}

func (f *tiffForm) readColour(d *ifd) error {
	const absent = 1 << 31
	p, err := d.uint(tagPhotometric, absent)
	if err != nil {
		return err
	}
	switch p {
	case 0, 1:
		f.channels, f.whiteIsZero = 1, p == 0
	case 2:
		f.channels = 3
	case absent:
		return broken("TIFF", tagName(tagPhotometric), "is missing: nothing says what the samples mean")
	default:
		return unsupported("TIFF", "%s", known(photometrics, "photometric interpretation", p))
	}
	if f.samples < f.channels {
		return broken("TIFF", tagName(tagSamples), "%d, but RGB needs 3", f.samples)
	}
	return nil
}

// readExtra finds the alpha sample (TIFF 6.0, section 18 and page 31); other
// extra samples are left out, with a notice.
func (f *tiffForm) readExtra(d *ifd) error {
	extra, err := d.uints(tagExtraSamples)
	if err != nil {
		return err
	}
	for i, kind := range extra {
		if f.alpha != noAlpha || f.channels+i >= f.samples || kind == 0 {
			continue
		}
		if kind > 2 {
			return unsupported("TIFF", "extra samples of kind %d", kind)
		}
		f.alpha, f.alphaAt = alphaKind(kind), f.channels+i
	}
	if f.whiteIsZero && f.alpha == associated {
		return unsupported("TIFF", "white-is-zero grey with premultiplied transparency")
	}
	return nil
}

func (f *tiffForm) readPacking(d *ifd) error {
	var values [4]uint32
	for i, tag := range []uint16{tagCompression, tagPredictor, tagPlanar, tagFillOrder} {
		v, err := d.uint(tag, 1)
		if err != nil {
			return err
		}
		values[i] = v
	}
	f.compression = values[0]
	switch f.compression {
	case compressionNone, compressionPackBits:
		values[1] = 1 // the predictor belongs to LZW and deflate only
	case compressionLZW, compressionDeflate, compressionOldDeflate:
	default:
		return unsupported("TIFF", "compression %s", known(compressions, "number", f.compression))
	}
	switch {
	case values[1] == 3:
		return unsupported("TIFF", "the floating-point predictor")
	case values[1] != 1 && values[1] != 2:
		return unsupported("TIFF", "predictor %d", values[1])
	case values[2] != 1 && values[2] != 2:
		return broken("TIFF", tagName(tagPlanar), "%d, expected 1 or 2", values[2])
	case values[3] != 1:
		return unsupported("TIFF", "reversed bit order (fill order %d)", values[3])
	}
	f.predictor, f.planar = values[1] == 2, values[2] == 2 && f.samples > 1
	return nil
}

// unread returns how many samples of a pixel are neither colour nor the alpha
// used.
func (f *tiffForm) unread() int {
	n := f.samples - f.channels
	if f.alpha != noAlpha {
		n--
	}
	return n
}

// planes returns the number of planes in the file.
func (f *tiffForm) planes() int {
	if f.planar {
		return f.samples
	}
	return 1
}

// blockSamples is the samples of a pixel inside one block.
func (f *tiffForm) blockSamples() int { return f.samples / f.planes() }

func (f *tiffForm) across() int { return (f.width + f.blockWidth - 1) / f.blockWidth }
func (f *tiffForm) down() int   { return (f.height + f.blockHeight - 1) / f.blockHeight }

// blockName is what errors call block i.
func (f *tiffForm) blockName(i int) string {
	if f.tiled {
		return fmt.Sprintf("tile %d", i)
	}
	return fmt.Sprintf("strip %d", i)
}
