package raster

// composite takes what is wanted out of a row of src, which has all samples of
// the file: palettes are looked up, and transparent pixels lie on white.
func (f *tiffForm) composite(dst, src []uint16) {
	switch {
	case f.palette != nil:
		for i := range f.width {
			copy(dst[3*i:3*i+3], f.palette[3*int(src[i*f.samples]):])
		}
	case f.channels == 3:
		for i, o := 0, 0; o+3 <= len(dst); i, o = i+f.samples, o+3 {
			dst[o], dst[o+1], dst[o+2] = src[i], src[i+1], src[i+2]
		}
	default:
		for i, o := 0, 0; o < len(dst); i, o = i+f.samples, o+f.channels {
			for c := range f.channels {
				dst[o+c] = src[i+c]
			}
		}
	}
	if f.alpha != noAlpha {
		f.onWhite(dst, src)
	}
}

// onWhite composites a row. White is no ink where samples are inks.
func (f *tiffForm) onWhite(dst, src []uint16) {
	for i, o := f.alphaAt, 0; o < len(dst); i, o = i+f.samples, o+f.channels {
		a := src[i]
		if f.palette != nil { // its samples come as stored
			a = uint16(uint32(a) * 65535 / (1<<f.bits - 1))
		}
		if a == 65535 {
			continue
		}
		for c := o; c < o+f.channels; c++ {
			switch {
			case f.space == Inks && f.alpha == unassociated:
				dst[c] = 65535 - overWhite(65535-dst[c], a)
			case f.space == Inks: // ink multiplied by opacity is the ink that is there
			case f.alpha == associated && f.palette == nil:
				dst[c] = overWhitePremultiplied(dst[c], a)
			default:
				dst[c] = overWhite(dst[c], a)
			}
		}
	}
}

// overWhite composites an encoded sample with opacity a on white, rounded.
func overWhite(v, a uint16) uint16 {
	const full = 65535
	return uint16((uint64(v)*uint64(a) + full*(full-uint64(a)) + full/2) / full)
}

// overWhitePremultiplied does so for a sample that is multiplied by a already.
// More colour than opacity cannot be and counts as white.
func overWhitePremultiplied(v, a uint16) uint16 {
	return uint16(min(uint32(v)+65535-uint32(a), 65535))
}

// invertEvery turns every n-th sample, from the first on.
func invertEvery(row []uint16, n int) {
	for i := 0; i < len(row); i += n {
		row[i] = 65535 - row[i]
	}
}

// iccWhite is L* 100 in ICC L*a*b* of 16 bits (ICC.1:2010, 6.3.4.2, table 12).
const iccWhite = 0xff00

// stretchICCLab makes white 65535 in every n-th sample. What lies beyond is
// counted.
func (b *beyond) stretchICCLab(row []uint16, n int) {
	for i := 0; i < len(row); i += n {
		if row[i] > iccWhite {
			b.white++
		}
		row[i] = uint16((uint32(min(row[i], iccWhite))*65535 + iccWhite/2) / iccWhite)
	}
}
