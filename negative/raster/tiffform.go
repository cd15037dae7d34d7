package raster

import "fmt"

// tiffForm is how a TIFF file stores its samples, checked to be something that
// tiffDecoder reads. It does not change while the file is read.
type tiffForm struct {
	ifdLayout
	width, height int
	bits          int  // of a sample
	float         bool // samples are floating-point numbers
	samples       int  // of a pixel in the file
	stored        int  // of them colour
	channels      int  // that rows give
	space         Space
	alpha         alphaKind
	alphaAt       int      // index of the alpha sample
	whiteIsZero   bool     // grey
	iccLab        bool     // L* 100 is 0xff00
	ycbcr         bool     // JPEG only
	palette       []uint16 // red, green, blue by index
	stretch       []uint16 // samples of few bits at 16
	compression   uint64
	predictor     uint64
	planar        bool // samples in separate planes
	reversed      bool // bits of a byte, lowest first
	jpegTables    []byte
	blockWidth    int // of a tile; the picture's width for strips
	blockHeight   int
	tiled         bool
	offsets       []uint64
	counts        []uint64
}

type alphaKind int

const (
	noAlpha alphaKind = iota
	associated
	unassociated
)

// newTIFFForm reads and checks a directory.
func newTIFFForm(d *ifd) (*tiffForm, error) {
	f := &tiffForm{ifdLayout: d.ifdLayout}
	for _, step := range []func(*ifd) error{f.readSize, f.readSamples, f.readFormat, f.readPacking, f.readColour, f.readExtra, f.readPredictor,
		f.readBlocks, f.checkBlocks} {
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
	if err := checkSize("TIFF", w, h); err != nil {
		return err
	}
	f.width, f.height = int(w), int(h)
	return nil
}

// maxSamples bounds the samples of a pixel: colours, alpha, and what else
// editors keep.
const maxSamples = 32

func (f *tiffForm) readSamples(d *ifd) error {
	n, err := d.uint(tagSamples, 1)
	if err != nil {
		return err
	}
	if n < 1 || n > maxSamples {
		return unread(tagSamples, n, fmt.Sprintf("%d samples a pixel", n), fixColours)
	}
	f.samples = int(n)
	bits, err := d.firstUints(tagBits, n)
	if err != nil {
		return err
	}
	if len(bits) == 0 {
		bits = []uint64{1}
	}
	for _, b := range bits {
		if b != bits[0] {
			return unread(tagBits, bits, "samples of different depth", fixDepth)
		}
	}
	f.bits = int(min(bits[0], 1<<16))
	return nil
}

// Sample formats of TIFF 6.0, section 19.
const (
	formatUnsigned  = 1
	formatSigned    = 2
	formatFloat     = 3
	formatUndefined = 4 // taken as unsigned
)

func (f *tiffForm) readFormat(d *ifd) error {
	formats, err := d.firstUints(tagSampleFormat, uint64(f.samples))
	if err != nil {
		return err
	}
	p, err := d.uint(tagPhotometric, 0)
	if err != nil {
		return err
	}
	if len(formats) > 1 && (p == photometricLab || p == photometricICCLab) {
		formats = formats[:1] // a* and b* have a sign and are not read
	}
	for _, v := range formats {
		switch {
		case v != formats[0]:
			return unread(tagSampleFormat, formats, "samples of different kinds", fixDepth)
		case v == formatSigned:
			return unread(tagSampleFormat, v, "numbers with sign", fixDepth)
		case v < formatUnsigned || v > formatUndefined:
			return unread(tagSampleFormat, v, "samples that are neither whole nor floating-point numbers", fixDepth)
		}
	}
	f.float = len(formats) > 0 && formats[0] == formatFloat
	return f.checkBits()
}

func (f *tiffForm) checkBits() error {
	switch {
	case f.float && f.bits != 16 && f.bits != 32 && f.bits != 64:
		return unread(tagBits, f.bits, fmt.Sprintf("floating-point samples of %d bits", f.bits), fixDepth)
	case f.float:
		return nil
	case f.bits < 1 || f.bits > 16 && f.bits != 32:
		return unread(tagBits, f.bits, fmt.Sprintf("%d-bit samples", f.bits), fixDepth)
	case f.bits < 16 && f.bits != 8:
		f.stretch = stretchTable(f.bits)
	}
	return nil
}

// unread returns how many samples of a pixel are neither colour nor the alpha
// used.
func (f *tiffForm) unread() int {
	n := f.samples - f.stored
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

// wanted reports whether a plane is colour that rows give, or the alpha used.
func (f *tiffForm) wanted(plane int) bool {
	return plane < min(f.stored, f.channels) || f.alpha != noAlpha && plane == f.alphaAt
}

// blockSamples is the samples of a pixel inside one block.
func (f *tiffForm) blockSamples() int { return f.samples / f.planes() }

// rowBytes is the length of a block's row; rows begin at whole bytes.
func (f *tiffForm) rowBytes() int { return (f.blockWidth*f.blockSamples()*f.bits + 7) / 8 }

func (f *tiffForm) across() int { return (f.width + f.blockWidth - 1) / f.blockWidth }
func (f *tiffForm) down() int   { return (f.height + f.blockHeight - 1) / f.blockHeight }

// plain reports whether a row of the only block across is a row of the picture,
// sample by sample.
func (f *tiffForm) plain() bool {
	return f.samples == f.channels && f.palette == nil && !f.planar && f.blockWidth == f.width
}

// blockName is what errors call block i.
func (f *tiffForm) blockName(i int) string {
	if f.tiled {
		return fmt.Sprintf("tile %d", i)
	}
	return fmt.Sprintf("strip %d", i)
}
