package raster

import (
	"encoding/binary"
	"errors"
	"io/fs"
)

// expand8 stretches bytes to 16 bits: times 257, exactly.
func expand8(dst []uint16, src []byte) {
	dst = dst[:len(src)]
	for i, v := range src {
		dst[i] = uint16(v) * 257
	}
}

// expand16 reads 16-bit samples.
func expand16(dst []uint16, src []byte, order binary.ByteOrder) {
	dst = dst[:len(src)/2]
	if order == binary.BigEndian {
		for i := range dst {
			dst[i] = binary.BigEndian.Uint16(src[2*i:])
		}
		return
	}
	for i := range dst {
		dst[i] = binary.LittleEndian.Uint16(src[2*i:])
	}
}

// undo8 adds up the differences of horizontal prediction (TIFF 6.0, section 14).
func undo8(row []byte, samples int) {
	for i := samples; i < len(row); i++ {
		row[i] += row[i-samples]
	}
}

func undo16(row []uint16, samples int) {
	for i := samples; i < len(row); i++ {
		row[i] += row[i-samples]
	}
}

// compositeRow takes the colours out of rows with more samples and puts
// transparent pixels on white.
func compositeRow(dst, src []uint16, f *tiffForm) {
	for i, o := 0, 0; i < len(src); i, o = i+f.samples, o+f.channels {
		copy(dst[o:o+f.channels], src[i:])
		if f.alpha == noAlpha {
			continue
		}
		a := src[i+f.alphaAt]
		for c := o; c < o+f.channels; c++ {
			if f.alpha == associated {
				dst[c] = overWhitePremultiplied(dst[c], a)
			} else {
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

// isDiskError reports whether reading itself failed, not decoding.
func isDiskError(err error) bool {
	var p *fs.PathError
	return errors.As(err, &p)
}
