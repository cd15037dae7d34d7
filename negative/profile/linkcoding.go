package profile

import (
	"io"
	"time"
)

// Coding says how a grey picture's values stand for tones.
type Coding int

const (
	// CodedSRGB is the tone curve of sRGB, IEC 61966-2-1:1999, as most grey pictures
	// have it, with a profile or without one.
	CodedSRGB Coding = iota
	// CodedLightness is L*, full value for 100.
	CodedLightness
)

// String returns "sRGB" or "L*".
func (c Coding) String() string {
	if c == CodedLightness {
		return "L*"
	}
	return "sRGB"
}

// Tone returns L* of a value of 0..1.
func (c Coding) Tone(value float64) float64 {
	if c == CodedLightness {
		return 100 * value
	}
	return toLightness(decodeSRGB(value))
}

// WriteCoded writes the ICC profile (version 4.3, ISO 15076-1) of grey pictures that
// are coded so: what a picture is converted to before a link from this coding is
// applied, relative colorimetric, no black point compensation. With grey it is of
// class mntr, space GRAY, with a tone curve only; else a colour space (spac) of RGB
// whose red, green and blue are always the same, for links to coloured films. The
// same arguments give the same bytes.
func WriteCoded(w io.Writer, c Coding, grey bool, created time.Time) error {
	p := codedParts(c)
	name := "actinic: " + c.String() + " grey"
	tags := []tagData{{"wtpt", xyz(whiteD50)}}
	if grey {
		return writeProfile(w, header("mntr", "GRAY", p.pcs, created), name, freeOfRights, append(tags, tagData{"kTRC", p.decode}))
	}
	return writeProfile(w, header("spac", "RGB ", p.pcs, created), name+", in RGB", freeOfRights, append(tags,
		tagData{"A2B0", matrixTable("mAB ", p.decode, p.show)}, tagData{"B2A0", matrixTable("mBA ", p.encode, p.take)}))
}

// freeOfRights is what the profiles that are the same for everybody say of rights.
const freeOfRights = "No copyright, use freely"

// coded are the parts of a coding's profiles: the curves of a channel, and the
// matrices, rows first, offsets last, from light in three channels to the connection
// space and back.
type coded struct {
	pcs            string
	decode, encode []byte
	show, take     [12]float64
}

// xyzFull is what the connection space's XYZ has for full code, ICC.1:2010, 6.3.4.2.
const xyzFull = 1 + 32767.0/32768

// codedParts returns the parts. Shown, the three channels are taken for the same, and
// red, green and blue have a third each of it.
func codedParts(c Coding) coded {
	const third = 1.0 / 3
	if c == CodedLightness {
		const neutral = 128.0 / 255 // a* and b* of 0, ICC.1:2010, 6.3.4.2
		return coded{"Lab ", sampled(nil), sampled(nil),
			[12]float64{third, third, third, 0, 0, 0, 0, 0, 0, 0, neutral, neutral},
			[12]float64{1, 0, 0, 1, 0, 0, 1, 0, 0}}
	}
	p := coded{pcs: "XYZ ", decode: parametricSRGB(), encode: parametricToSRGB()}
	for row := range 3 {
		for column := range 3 {
			p.show[3*row+column] = whiteD50[row] * third / xyzFull
		}
		p.take[3*row+1] = xyzFull
	}
	return p
}
