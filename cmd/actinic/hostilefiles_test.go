package main

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"io"
	"testing"
)

// pngChunk is a chunk of a PNG file (ISO/IEC 15948, 5.3).
func pngChunk(kind string, data []byte) []byte {
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	chunk = append(append(chunk, kind...), data...)
	return binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
}

// pngOf is a grey 8-bit PNG file with any chunks between its header and its end.
func pngOf(width, height uint32, chunks ...[]byte) []byte {
	head := binary.BigEndian.AppendUint32(nil, width)
	head = append(binary.BigEndian.AppendUint32(head, height), 8, 0, 0, 0, 0)
	file := append([]byte("\x89PNG\r\n\x1a\n"), pngChunk("IHDR", head)...)
	for _, c := range chunks {
		file = append(file, c...)
	}
	return append(file, pngChunk("IEND", nil)...)
}

// deflated returns so many zeros, packed (RFC 1950).
func deflated(t *testing.T, zeros int64) []byte {
	t.Helper()
	var b bytes.Buffer
	z, err := zlib.NewWriterLevel(&b, zlib.BestSpeed)
	if err == nil {
		_, err = io.CopyN(z, zeroes{}, zeros)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

type zeroes struct{}

func (zeroes) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

// tiffTag is one of a TIFF file's tags with one value (TIFF 6.0, section 2).
type tiffTag struct {
	number, kind uint16
	value        uint32
}

// tiffOf is a grey 8-bit TIFF file of one strip, its data after the directory;
// more tags take the place of its own. next is where it says its next page is.
func tiffOf(width, height uint32, data []byte, next uint32, more ...tiffTag) []byte {
	const long = 4
	tags := []tiffTag{
		{256, long, width}, {257, long, height}, {258, long, 8}, {259, long, 1}, {262, long, 1},
		{273, long, 0}, {277, long, 1}, {278, long, height}, {279, long, uint32(len(data))},
	}
	tags[5].value = uint32(8 + 2 + 12*len(tags) + 4)
	for _, m := range more {
		for i := range tags {
			if tags[i].number == m.number {
				tags[i] = m
			}
		}
	}
	file := []byte("II*\x00\x08\x00\x00\x00")
	file = binary.LittleEndian.AppendUint16(file, uint16(len(tags)))
	for _, tag := range tags {
		file = binary.LittleEndian.AppendUint16(file, tag.number)
		file = binary.LittleEndian.AppendUint16(file, tag.kind)
		file = binary.LittleEndian.AppendUint32(file, 1)
		file = binary.LittleEndian.AppendUint32(file, tag.value)
	}
	return append(binary.LittleEndian.AppendUint32(file, next), data...)
}

// jpegHeader is the beginning of a JPEG file of that size: markers SOI and SOF0
// (ISO/IEC 10918-1, B.2.2).
func jpegHeader(width, height uint16) []byte {
	file := []byte{0xff, 0xd8, 0xff, 0xc0, 0, 11, 8}
	file = binary.BigEndian.AppendUint16(file, height)
	file = binary.BigEndian.AppendUint16(file, width)
	return append(file, 1, 1, 0x11, 0, 0xff, 0xd9)
}

// bomb is how much a deflate bomb holds.
const bomb = 300 << 20

// bombs are pictures of 256 pixels whose packed rows go on and on: there is a
// film of them, because all their rows are there, and nobody reads the rest.
func bombs(t *testing.T) map[string][]byte {
	t.Helper()
	zeros := deflated(t, bomb)
	return map[string][]byte{
		"deflate bomb.png": pngOf(16, 16, pngChunk("IDAT", zeros)),
		"bomb.tif":         tiffOf(16, 16, zeros, 0, tiffTag{259, 4, 8}),
	}
}

// hostileFiles are pictures that are none, or lie, or were cut short, by names
// that say how.
func hostileFiles(t *testing.T) map[string][]byte {
	t.Helper()
	photo := encoded(t, grainy(200, 100, 5), asTIFF)
	packed := encoded(t, grainy(200, 100, 5), asDeflatedTIFF)
	png := encoded(t, grainy(200, 100, 5), asPNG)
	profile := append([]byte("profile\x00\x00"), deflated(t, bomb)...)
	return map[string][]byte{
		"nothing.tif": nil, "no bytes.png": nil, "empty.jpg": nil,
		"text.jpg":                  []byte("a letter, not a picture"),
		"2^31 pixels.png":           pngOf(1<<16, 1<<15, pngChunk("IDAT", []byte("\x78\x01"))),
		"2 to the 31.tif":           tiffOf(1<<16, 1<<15, []byte("little"), 0),
		"2 to the 62.tif":           tiffOf(1<<31, 1<<31, []byte("little"), 0),
		"4 thousand million.jpg":    jpegHeader(65535, 65535),
		"bomb in the profile.png":   pngOf(16, 16, pngChunk("iCCP", profile), pngChunk("IDAT", []byte("\x78\x01"))),
		"strip beyond the end.tif":  tiffOf(16, 16, make([]byte, 256), 0, tiffTag{273, 4, 1 << 31}),
		"strip of 4 GB.tif":         tiffOf(16, 16, make([]byte, 256), 0, tiffTag{279, 4, 1<<32 - 1}),
		"directory in a circle.tif": tiffOf(16, 16, nil, 8, tiffTag{273, 4, 1 << 30}),
		"directory nowhere.tif":     []byte("II*\x00\xff\xff\xff\x7f"),
		"cut.tif":                   photo[:len(photo)/2], "cut strips.tif": tiffOf(16, 16, make([]byte, 100), 0),
		"cut packed.tif": packed[:len(packed)*2/3], "cut rows.png": png[:len(png)/2],
		"photo.heic": []byte("a kind that is not read"),
	}
}
