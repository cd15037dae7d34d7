package raster

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
)

// jpegInfo is what the marker segments before the picture say (ITU-T T.81,
// annex B; JFIF 1.02; EXIF 2.3; ICC.1:2010, B.4).
type jpegInfo struct {
	width, height int
	components    int
	ids           [4]byte   // by component
	sampling      [4][2]int // horizontal and vertical, by component
	progressive   bool
	restarts      bool // a restart interval is set
	jfif          bool
	ppiX, ppiY    float64 // of the JFIF segment
	exif          exifData
	profile       []byte
	adobe         bool // an Adobe segment says what the components are
	transform     byte
	parts         map[byte][]byte // of the profile, by number
	partCount     byte
	scan          int64 // where the marker of the first scan begins
}

// jpegMarks reads the markers of a file and counts the bytes.
type jpegMarks struct {
	in *bufio.Reader
	at int64
}

// readJPEGInfo reads up to the start of the first scan.
func readJPEGInfo(r io.Reader) (*jpegInfo, error) {
	in := &jpegMarks{in: bufio.NewReader(r)}
	if _, err := in.in.Discard(2); err != nil {
		return nil, jpegCut("start of the picture", err)
	}
	in.at = 2
	j := &jpegInfo{exif: exifData{orientation: 1}, parts: map[byte][]byte{}}
	for {
		j.scan = in.at
		marker, err := in.next()
		if err != nil {
			return nil, err
		}
		if marker == 0xda { // start of scan
			break
		}
		if marker == 0xd9 {
			return nil, broken("JPEG", "", "ends before the picture begins")
		}
		if marker >= 0xd0 && marker <= 0xd8 || marker == 1 { // stand alone
			continue
		}
		data, err := in.segment(marker)
		if err != nil {
			return nil, err
		}
		if err := j.segment(marker, data); err != nil {
			return nil, err
		}
	}
	if j.width == 0 {
		return nil, broken("JPEG", "", "has no frame header before the picture")
	}
	return j, j.joinProfile()
}

// next finds the next marker; fill bytes may come before it.
func (m *jpegMarks) next() (byte, error) {
	b, err := m.byte()
	if err != nil {
		return 0, err
	}
	if b != 0xff {
		return 0, broken("JPEG", "markers", "byte %#02x, expected a marker", b)
	}
	for b == 0xff {
		if b, err = m.byte(); err != nil {
			return 0, err
		}
	}
	return b, nil
}

func (m *jpegMarks) byte() (byte, error) {
	b, err := m.in.ReadByte()
	if err != nil {
		return 0, jpegCut("markers", err)
	}
	m.at++
	return b, nil
}

func (m *jpegMarks) segment(marker byte) ([]byte, error) {
	where := fmt.Sprintf("segment %#02x", marker)
	var length [2]byte
	if _, err := io.ReadFull(m.in, length[:]); err != nil {
		return nil, jpegCut(where, err)
	}
	n := int(binary.BigEndian.Uint16(length[:]))
	if n < 2 {
		return nil, broken("JPEG", where, "length %d, expected at least 2", n)
	}
	data := make([]byte, n-2)
	if _, err := io.ReadFull(m.in, data); err != nil {
		return nil, jpegCut(where, err)
	}
	m.at += int64(n)
	return data, nil
}

func jpegCut(where string, err error) error {
	if isDiskError(err) {
		return err
	}
	return broken("JPEG", where, "the file ends here")
}

func (j *jpegInfo) segment(marker byte, b []byte) error {
	switch {
	case marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc:
		return j.frame(marker, b)
	case marker == 0xe0 && has(b, 0, "JFIF\x00"):
		j.jfif = true
		if len(b) >= 12 {
			j.resolution(b[7], binary.BigEndian.Uint16(b[8:]), binary.BigEndian.Uint16(b[10:]))
		}
	case marker == 0xe1 && has(b, 0, "Exif\x00\x00"):
		if e, ok := parseExif(b[6:]); ok {
			j.exif = e
		}
	case marker == 0xe2 && has(b, 0, "ICC_PROFILE\x00") && len(b) > 14:
		j.parts[b[12]], j.partCount = b[14:], b[13]
	case marker == 0xdd && len(b) == 2:
		j.restarts = binary.BigEndian.Uint16(b) != 0
	case marker == 0xee && has(b, 0, "Adobe") && len(b) >= 12:
		j.adobe, j.transform = true, b[11]
	}
	return nil
}

// frame reads a start-of-frame segment (T.81, B.2.2 and table B.1).
func (j *jpegInfo) frame(marker byte, b []byte) error {
	if name := jpegProcesses[marker]; name != "" {
		return unsupported("JPEG", "%s coding", name)
	}
	if len(b) < 6 || len(b) < 6+3*int(b[5]) {
		return broken("JPEG", "frame header", "is too short")
	}
	if b[0] != 8 {
		return unsupported("JPEG", "%d-bit samples", b[0])
	}
	if j.width != 0 {
		return broken("JPEG", "frame header", "comes twice")
	}
	h, w := binary.BigEndian.Uint16(b[1:]), binary.BigEndian.Uint16(b[3:])
	j.components, j.progressive = int(b[5]), marker == 0xc2
	switch {
	case h == 0 && w != 0:
		return unsupported("JPEG", "a height that is given only after the picture")
	case j.components != 1 && j.components != 3 && j.components != 4:
		return unsupported("JPEG", "%d components", j.components)
	}
	for i := range j.components {
		s := b[7+3*i]
		j.ids[i] = b[6+3*i]
		j.sampling[i] = [2]int{int(s >> 4), int(s & 15)}
		if s>>4 < 1 || s>>4 > 4 || s&15 < 1 || s&15 > 4 {
			return broken("JPEG", "frame header", "sampling factors %d x %d, expected 1 to 4", s>>4, s&15)
		}
	}
	j.width, j.height = int(w), int(h)
	return checkSize("JPEG", uint64(w), uint64(h))
}

// jpegProcesses names the frames that are not baseline, extended or progressive
// with Huffman codes.
var jpegProcesses = map[byte]string{
	0xc3: "lossless", 0xc5: "hierarchical", 0xc6: "hierarchical", 0xc7: "hierarchical lossless",
	0xc9: "arithmetic", 0xca: "arithmetic", 0xcb: "arithmetic lossless",
	0xcd: "arithmetic", 0xce: "arithmetic", 0xcf: "arithmetic lossless",
}

// resolution takes a JFIF density: unit 1 dots an inch, 2 a centimetre, 0 only
// the shape of pixels.
func (j *jpegInfo) resolution(unit byte, x, y uint16) {
	switch unit {
	case 1:
		j.ppiX, j.ppiY = float64(x), float64(y)
	case 2:
		j.ppiX, j.ppiY = float64(x)*2.54, float64(y)*2.54
	}
}

// joinProfile puts the numbered parts of an ICC profile together.
func (j *jpegInfo) joinProfile() error {
	var whole bytes.Buffer
	for i := range j.partCount {
		part, ok := j.parts[i+1]
		if !ok {
			return broken("JPEG", "ICC profile", "part %d of %d is missing", i+1, j.partCount)
		}
		whole.Write(part)
	}
	if whole.Len() > 0 {
		j.profile = whole.Bytes()
	}
	return nil
}
