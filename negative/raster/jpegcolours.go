package raster

// jpegColours says what the components of a JPEG picture are.
type jpegColours int

const (
	jpegStored   jpegColours = iota // the samples themselves: grey, RGB, CMYK with 255 full ink
	jpegYCC                         // luma and two chroma of RGB
	jpegInverted                    // CMYK with 0 full ink
	jpegYCCK                        // luma and chroma of inverted CMY, inverted black
)

// colours tells the components of a file of its own. JFIF 1.02 is always YCbCr or
// grey; else the Adobe segment says it (transform 0 none, 1 YCbCr, 2 YCCK:
// Technical Note 5116, section 18), whose writers invert CMYK (common practice);
// else components may be named R, G, B (common practice).
func (j *jpegInfo) colours() jpegColours {
	switch j.components {
	case 3:
		byName := !j.adobe && j.ids[0] == 'R' && j.ids[1] == 'G' && j.ids[2] == 'B'
		if !j.jfif && (j.adobe && j.transform == 0 || byName) {
			return jpegStored
		}
		return jpegYCC
	case 4:
		switch {
		case j.adobe && j.transform != 0:
			return jpegYCCK
		case j.adobe:
			return jpegInverted
		}
	}
	return jpegStored
}

// sample is a sample of a row: 8 bits as decoded, or 16.
type sample interface{ byte | uint16 }

// full is the scale by which 8-bit samples become T: 1 or 257.
func full[T sample]() T {
	var top T
	top--
	return top / 255
}

// stretchRow copies 8-bit samples into a row.
func stretchRow[T sample](dst []T, src []byte) {
	scale := full[T]()
	src = src[:len(dst)]
	for i := range dst {
		dst[i] = T(src[i]) * scale
	}
}

// invertRow copies the complements of 8-bit samples into a row.
func invertRow[T sample](dst []T, src []byte) {
	scale := full[T]()
	src = src[:len(dst)]
	for i := range dst {
		dst[i] = T(^src[i]) * scale
	}
}

// threeRow interleaves three components; the second and third have a sample for
// each 1<<shift pixels.
func threeRow[T sample](dst []T, a, b, c []byte, shift int) {
	scale := full[T]()
	for x := 0; 3*x+2 < len(dst); x++ {
		dst[3*x], dst[3*x+1], dst[3*x+2] = T(a[x])*scale, T(b[x>>shift])*scale, T(c[x>>shift])*scale
	}
}

// chroma is what a pair of chroma samples adds to luma, by the full-range matrix
// of JFIF 1.02 (1.402; 0.34414, 0.71414; 1.772) in units of 1/65536, rounded.
type chroma struct{ red, green, blue int }

func newChroma(cb, cr byte) chroma {
	const half = 1 << 15
	b, r := int(cb)-128, int(cr)-128
	return chroma{(91881*r + half) >> 16, (-22554*b - 46802*r + half) >> 16, (116130*b + half) >> 16}
}

// limits holds, at v + 256, the sample for the sum v of luma and chroma, which is
// -227 to 482: no less than 0, no more than 255.
type limits[T sample] [1024]T

func newLimits[T sample]() *limits[T] {
	var l limits[T]
	for i := range l {
		l[i] = T(min(max(i-256, 0), 255)) * full[T]()
	}
	return &l
}

var limits8, limits16 = newLimits[byte](), newLimits[uint16]()

func limitsOf[T sample]() *limits[T] {
	if l, ok := any(limits8).(*limits[T]); ok {
		return l
	}
	return any(limits16).(*limits[T])
}

// at returns the sample for a sum.
func (l *limits[T]) at(v int) T { return l[(v+256)&1023] }

// yccRow turns luma and chroma into red, green and blue; there is chroma for each
// 1<<shift pixels.
func yccRow[T sample](dst []T, luma, cb, cr []byte, shift int) {
	lim := limitsOf[T]()
	if shift == 1 {
		yccPairs(dst, luma, cb, cr)
		done := len(dst) / 6 * 2
		dst, luma, cb, cr = dst[3*done:], luma[done:], cb[done/2:], cr[done/2:]
	}
	for x := 0; 3*x+2 < len(dst); x++ {
		c, y := newChroma(cb[x>>shift], cr[x>>shift]), int(luma[x])
		dst[3*x], dst[3*x+1], dst[3*x+2] = lim.at(y+c.red), lim.at(y+c.green), lim.at(y+c.blue)
	}
}

// yccPairs does so for as many pairs of pixels as there are: most cameras store
// chroma so.
func yccPairs[T sample](dst []T, luma, cb, cr []byte) {
	lim := limitsOf[T]()
	cb = cb[:len(dst)/6]
	cr = cr[:len(cb)]
	luma = luma[:2*len(cb)]
	for at := range cb {
		c := newChroma(cb[at], cr[at])
		y, z := int(luma[2*at]), int(luma[2*at+1])
		p := dst[6*at : 6*at+6 : 6*at+6]
		p[0], p[1], p[2] = lim.at(y+c.red), lim.at(y+c.green), lim.at(y+c.blue)
		p[3], p[4], p[5] = lim.at(z+c.red), lim.at(z+c.green), lim.at(z+c.blue)
	}
}

// ycckRow turns pixels of luma, two chroma and inverted black, all stored as
// complements, into inks. Red, green and blue are the complements of the inks,
// and files hold the complements of the inks: the two cancel.
func ycckRow[T sample](dst []T, src []byte) {
	lim, scale := limitsOf[T](), full[T]()
	for i := 0; i+3 < len(dst); i += 4 {
		p := src[i : i+4 : i+4]
		c, y := newChroma(^p[1], ^p[2]), int(^p[0])
		dst[i], dst[i+1], dst[i+2] = lim.at(y+c.red), lim.at(y+c.green), lim.at(y+c.blue)
		dst[i+3] = T(p[3]) * scale
	}
}
