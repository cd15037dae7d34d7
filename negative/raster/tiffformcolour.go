package raster

// Photometric interpretations of TIFF 6.0, page 37 and sections 16, 21 and 23, and
// of Adobe's TIFF Technical Notes (ICC L*a*b*).
const (
	photometricWhiteIsZero = 0
	photometricBlackIsZero = 1
	photometricRGB         = 2
	photometricPalette     = 3
	photometricInks        = 5
	photometricYCbCr       = 6
	photometricLab         = 8
	photometricICCLab      = 9
)

func (f *tiffForm) readColour(d *ifd) error {
	const absent = 1 << 63
	p, err := d.uint(tagPhotometric, absent)
	if err != nil {
		return err
	}
	switch p {
	case photometricWhiteIsZero, photometricBlackIsZero:
		f.stored, f.channels, f.whiteIsZero = 1, 1, p == photometricWhiteIsZero
	case photometricRGB:
		f.stored, f.channels = 3, 3
	case photometricPalette:
		err = f.readPalette(d)
	case photometricInks:
		err = f.readInks(d)
	case photometricYCbCr:
		err = f.readYCbCr()
	case photometricLab, photometricICCLab:
		err = f.readLab(d, p)
	case absent:
		return broken("TIFF", tagName(tagPhotometric), "is missing: nothing says what the samples mean")
	default:
		return unread(tagPhotometric, p, known(photometrics, "unknown colours", p), fixColours)
	}
	if err == nil && f.samples < f.stored {
		return broken("TIFF", tagName(tagSamples), "%d, but its colours need %d", f.samples, f.stored)
	}
	return err
}

// readPalette reads tag 320: all reds, then all greens, then all blues, of 16
// bits (TIFF 6.0, page 23). Where none is above 255 an old writer meant 8 bits,
// as all readers take it.
func (f *tiffForm) readPalette(d *ifd) error {
	if f.float || f.bits > 16 || f.bits&(f.bits-1) != 0 {
		return unread(tagBits, f.bits, "palette colours of this depth", fixDepth)
	}
	n := 1 << f.bits
	values, err := d.firstUints(tagColorMap, uint64(3*n))
	if err != nil {
		return err
	}
	if len(values) < 3*n {
		return broken("TIFF", tagName(tagColorMap), "has %d values, expected %d", len(values), 3*n)
	}
	scale := uint16(257)
	for _, v := range values {
		if v > 255 {
			scale = 1
		}
	}
	f.palette = make([]uint16, 3*n)
	for i := range n {
		for c := range 3 {
			f.palette[3*i+c] = uint16(min(values[c*n+i], 65535)) * scale
		}
	}
	f.stored, f.channels, f.stretch = 1, 3, nil
	return nil
}

// readInks reads CMYK (TIFF 6.0, section 16), 0 no ink.
func (f *tiffForm) readInks(d *ifd) error {
	set, err := d.uint(tagInkSet, 1)
	if err != nil {
		return err
	}
	if set != 1 {
		return unread(tagInkSet, set, "inks other than CMYK", fixColours)
	}
	inks, err := d.uint(tagNumberOfInks, 4)
	if err != nil {
		return err
	}
	if inks != 4 {
		return unread(tagNumberOfInks, inks, "inks other than CMYK", fixColours)
	}
	f.stored, f.channels, f.space = 4, 4, Inks
	if _, ok := d.fields[tagICC]; !ok {
		return unread(tagPhotometric, photometricInks, "CMYK colours without an embedded profile",
			"save it with the profile of its inks embedded, or convert it to RGB or grey")
	}
	return f.checkDots(d)
}

// checkDots refuses sample values for no ink and full ink that are not the least
// and the largest (TIFF 6.0, page 71).
func (f *tiffForm) checkDots(d *ifd) error {
	dots, err := d.firstUints(tagDotRange, uint64(2*f.samples))
	if err != nil {
		return err
	}
	for i, v := range dots {
		if i%2 == 0 && v != 0 || i%2 == 1 && v < 255 {
			return unread(tagDotRange, dots, "inks that do not use all sample values", fixColours)
		}
	}
	return nil
}

func (f *tiffForm) readYCbCr() error {
	if f.compression != compressionJPEG {
		return unread(tagPhotometric, photometricYCbCr, "YCbCr colours without JPEG compression", fixColours)
	}
	if f.planar {
		return unread(tagPlanar, 2, "YCbCr colours in separate planes", fixColours)
	}
	if f.samples != 3 {
		return unread(tagSamples, f.samples, "YCbCr colours with further samples", fixColours)
	}
	f.stored, f.channels, f.ycbcr = 3, 3, true
	return nil
}

// readLab takes L* alone: a pixel may have no more (TIFF 6.0, section 23).
func (f *tiffForm) readLab(d *ifd, p uint64) error {
	if f.float || f.bits != 8 && f.bits != 16 {
		return unread(tagBits, f.bits, "L*a*b* colours of this depth", fixDepth)
	}
	f.stored, f.channels, f.space, f.iccLab = 3, 1, Lightness, p == photometricICCLab && f.bits == 16
	if extra := d.fields[tagExtraSamples].count; f.samples == 1 || uint64(f.samples) == 1+extra {
		f.stored = 1
	}
	return nil
}

// readExtra finds the alpha sample (TIFF 6.0, section 18 and page 31); other
// extra samples are left out, with a notice.
func (f *tiffForm) readExtra(d *ifd) error {
	extra, err := d.firstUints(tagExtraSamples, maxSamples)
	if err != nil {
		return err
	}
	for i, kind := range extra {
		if f.alpha != noAlpha || f.stored+i >= f.samples || kind == 0 {
			continue
		}
		if kind > 2 {
			return unread(tagExtraSamples, kind, "extra samples of an unknown kind", fixAlpha)
		}
		f.alpha, f.alphaAt = alphaKind(kind), f.stored+i
	}
	if f.whiteIsZero && f.alpha == associated {
		return unread(tagExtraSamples, 1, "premultiplied transparency of white-is-zero grey", fixAlpha)
	}
	return nil
}
