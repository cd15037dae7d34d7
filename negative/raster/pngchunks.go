package raster

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"math"

	"github.com/klauspost/compress/zlib"
)

// pngSignature begins every PNG file (PNG, 2nd edition, W3C 2003, 5.2).
const pngSignature = "\x89PNG\r\n\x1a\n"

// pngChunk is where a chunk lies: its data at offset, n bytes.
type pngChunk struct {
	kind   string
	offset int64
	n      int64
}

// pngInfo is what the chunks before the picture say.
type pngInfo struct {
	width, height int
	bits          int
	kind          pngKind
	interlaced    bool
	palette       []byte // red, green, blue
	transparent   []byte // tRNS
	first         int64  // offset of the first IDAT chunk
	packed        int64  // bytes in all IDAT chunks
	ppiX, ppiY    float64
	profile       []byte
	gamma         float64 // that decodes; 0 when the file gives none
	primaries     *chromaticities
	srgb          bool
	coded         *codedColours // cICP, which is above all others
	orientation   int
	description   string
}

// pngKind is the colour type (PNG, 11.2.2).
type pngKind int

const (
	pngGrey      pngKind = 0
	pngRGB       pngKind = 2
	pngPalette   pngKind = 3
	pngGreyAlpha pngKind = 4
	pngRGBA      pngKind = 6
)

// samples of a pixel in the file; 0 for kinds that do not exist.
func (k pngKind) samples() int {
	switch k {
	case pngGrey, pngPalette:
		return 1
	case pngGreyAlpha:
		return 2
	case pngRGB:
		return 3
	case pngRGBA:
		return 4
	}
	return 0
}

// readPNGInfo walks all chunks. Those that describe the picture are read, with
// their checksum; picture data are only counted.
func readPNGInfo(r io.ReaderAt, size int64) (*pngInfo, error) {
	p := &pngInfo{orientation: 1}
	for at := int64(len(pngSignature)); ; {
		c, err := readPNGChunk(r, size, at)
		if err != nil {
			return nil, err
		}
		if c.kind == "IEND" {
			break
		}
		if err := p.chunk(r, size, c); err != nil {
			return nil, err
		}
		at = c.offset + c.n + 4
	}
	switch {
	case p.width == 0:
		return nil, broken("PNG", "", "has no IHDR chunk")
	case p.packed == 0:
		return nil, broken("PNG", "", "has no picture data (IDAT chunk)")
	case p.kind == pngPalette && p.palette == nil:
		return nil, broken("PNG", "", "has no palette (PLTE chunk)")
	}
	return p, checkPlausible("PNG", p.packed, p.unpackedBytes(), deflateRatio)
}

// unpackedBytes is about what the picture data inflate to, not more.
func (p *pngInfo) unpackedBytes() int64 {
	return int64(p.height) * int64(p.width*p.bits*p.kind.samples()/8)
}

func readPNGChunk(r io.ReaderAt, size, at int64) (pngChunk, error) {
	head, err := readAt("PNG", "chunks", r, size, at, 8)
	if err != nil {
		return pngChunk{}, err
	}
	c := pngChunk{string(head[4:]), at + 8, int64(binary.BigEndian.Uint32(head))}
	if c.n > size-c.offset-4 {
		return c, broken("PNG", "chunk "+c.name(), "ends at byte %d, but the file has %d bytes", c.offset+c.n+4, size)
	}
	return c, nil
}

// name is the chunk's kind, fit to be shown.
func (c pngChunk) name() string {
	for _, b := range []byte(c.kind) {
		if b < 'A' || b > 'z' {
			return "of unknown kind"
		}
	}
	return c.kind
}

// data reads a chunk of at most most bytes and checks it.
func (c pngChunk) data(r io.ReaderAt, size, most int64) ([]byte, error) {
	if c.n > most {
		return nil, broken("PNG", "chunk "+c.name(), "has %d bytes, expected at most %d", c.n, most)
	}
	raw, err := readAt("PNG", "chunk "+c.name(), r, size, c.offset-4, c.n+8)
	if err != nil {
		return nil, err
	}
	sum := crc32.ChecksumIEEE(raw[:c.n+4])
	if sum != binary.BigEndian.Uint32(raw[c.n+4:]) {
		return nil, broken("PNG", "chunk "+c.name(), "its checksum is wrong")
	}
	return raw[4 : c.n+4], nil
}

// chunk reads one chunk. Order is checked where the meaning hangs on it only.
func (p *pngInfo) chunk(r io.ReaderAt, size int64, c pngChunk) error {
	if p.width == 0 && c.kind != "IHDR" {
		return broken("PNG", "chunk "+c.name(), "comes first, expected IHDR")
	}
	if c.kind == "IDAT" {
		if p.first == 0 {
			p.first = c.offset - 8
		}
		p.packed += c.n
		return nil
	}
	read, ok := pngReaders[c.kind]
	if !ok {
		if c.kind[0]&0x20 == 0 { // critical (PNG, 5.4)
			return unsupported("PNG", "chunk %s", c.name())
		}
		return nil
	}
	data, err := c.data(r, size, maxProfile)
	if err != nil {
		return err
	}
	return read(p, data)
}

// pngReaders holds a reader by chunk (PNG, 11.2 and 11.3). Chunks that only
// describe are passed over when they make no sense.
var pngReaders = map[string]func(*pngInfo, []byte) error{
	"IHDR": (*pngInfo).readHeader,
	"PLTE": (*pngInfo).readPalette,
	"tRNS": func(p *pngInfo, b []byte) error { p.transparent = b; return nil },
	"pHYs": (*pngInfo).readResolution,
	"gAMA": (*pngInfo).readGamma,
	"sRGB": func(p *pngInfo, _ []byte) error { p.srgb = true; return nil },
	"iCCP": (*pngInfo).readProfile,
	"cHRM": (*pngInfo).readPrimaries,
	"cICP": (*pngInfo).readCoded,
	"eXIf": (*pngInfo).readExif,
	"tEXt": (*pngInfo).readText,
	"iTXt": (*pngInfo).readUnicode,
}

func (p *pngInfo) readHeader(b []byte) error {
	if p.width != 0 || len(b) != 13 {
		return broken("PNG", "chunk IHDR", "%d bytes, expected one chunk of 13", len(b))
	}
	w, h := binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:])
	if err := checkSize("PNG", uint64(w), uint64(h)); err != nil {
		return err
	}
	p.width, p.height, p.bits, p.kind = int(w), int(h), int(b[8]), pngKind(b[9])
	if !pngDepths[[2]int{int(p.kind), p.bits}] {
		return broken("PNG", "chunk IHDR", "colour type %d with %d bits does not exist", p.kind, p.bits)
	}
	if b[10] != 0 || b[11] != 0 || b[12] > 1 {
		return unsupported("PNG", "compression %d, filter %d, interlace %d", b[10], b[11], b[12])
	}
	p.interlaced = b[12] == 1
	return nil
}

// pngDepths lists the pairs of colour type and depth that exist (PNG, table 11.1).
var pngDepths = map[[2]int]bool{
	{0, 1}: true, {0, 2}: true, {0, 4}: true, {0, 8}: true, {0, 16}: true, {2, 8}: true, {2, 16}: true,
	{3, 1}: true, {3, 2}: true, {3, 4}: true, {3, 8}: true, {4, 8}: true, {4, 16}: true, {6, 8}: true, {6, 16}: true,
}

func (p *pngInfo) readPalette(b []byte) error {
	if len(b) == 0 || len(b)%3 != 0 || len(b) > 768 {
		return broken("PNG", "chunk PLTE", "%d bytes, expected 1 to 256 colours of 3", len(b))
	}
	p.palette = b
	return nil
}

// readResolution reads pHYs: pixels a metre when the unit is 1. What a whole
// number of pixels an inch comes to in pixels a metre, rounded or cut, is read
// as that number.
func (p *pngInfo) readResolution(b []byte) error {
	if len(b) == 9 && b[8] == 1 {
		p.ppiX = perInch(binary.BigEndian.Uint32(b))
		p.ppiY = perInch(binary.BigEndian.Uint32(b[4:]))
	}
	return nil
}

// perMetre returns pixels a metre, the unit of pHYs.
func perMetre(ppi float64) uint32 { return uint32(math.Round(ppi / 0.0254)) }

func perInch(metre uint32) float64 {
	ppi := float64(metre) * 0.0254
	whole := math.Round(ppi)
	if perMetre(whole) == metre || uint32(whole/0.0254) == metre { // some writers cut
		return whole
	}
	return ppi
}

// readProfile reads iCCP: a name, NUL, method 0, a deflated profile.
func (p *pngInfo) readProfile(b []byte) error {
	_, rest, ok := bytes.Cut(b, []byte{0})
	if !ok || len(rest) < 1 || rest[0] != 0 {
		return broken("PNG", "chunk iCCP", "has no compressed profile")
	}
	z, err := zlib.NewReader(bytes.NewReader(rest[1:]))
	if err != nil {
		return broken("PNG", "chunk iCCP", "the compressed profile is damaged (%v)", err)
	}
	p.profile, err = io.ReadAll(io.LimitReader(z, maxProfile+1))
	if err != nil || len(p.profile) > maxProfile {
		return broken("PNG", "chunk iCCP", "the compressed profile is damaged or larger than %d bytes", maxProfile)
	}
	return nil
}

func (p *pngInfo) readExif(b []byte) error {
	if e, ok := parseExif(b); ok {
		p.orientation = e.orientation
	}
	return nil
}

// readText keeps the text under the keyword Description, which is in Latin-1.
func (p *pngInfo) readText(b []byte) error {
	key, text, ok := bytes.Cut(b, []byte{0})
	if !ok || string(key) != "Description" || len(text) > maxText {
		return nil
	}
	runes := make([]rune, len(text))
	for i, c := range text {
		runes[i] = rune(c)
	}
	p.description = trimText([]byte(string(runes)))
	return nil
}

// readUnicode keeps the same text from iTXt: keyword, whether and how it is
// compressed, language and translated keyword, then UTF-8 (11.3.4.5). Compressed
// text is passed over.
func (p *pngInfo) readUnicode(b []byte) error {
	text, ok := bytes.CutPrefix(b, []byte("Description\x00\x00\x00"))
	for range 2 {
		_, text, _ = bytes.Cut(text, []byte{0})
	}
	if ok && len(text) <= maxText {
		p.description = trimText(text)
	}
	return nil
}
