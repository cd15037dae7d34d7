package profile

import (
	"encoding/binary"
	"fmt"

	"actinic/negative/raster"
)

// headerSize and entrySize are those of ICC.1:2010, 7.2 and 7.3.
const (
	headerSize = 128
	entrySize  = 12
)

// container is a profile's header and tag table, ICC.1:2010 clause 7. Its tags
// are checked when they are asked for: a broken tag that nobody needs is no
// reason to refuse a picture.
type container struct {
	data              []byte
	class, space, pcs string // four letters each, blanks included
	count             int    // entries of the tag table
}

func broken(where, what string, args ...any) error {
	return &raster.FormatError{Format: "ICC profile", Where: where, What: fmt.Sprintf(what, args...)}
}

func unsupported(feature string, args ...any) error {
	return &raster.UnsupportedError{Format: "ICC profile", Feature: fmt.Sprintf(feature, args...),
		Fix: "convert the picture to sRGB, or to grey, in an editor and save it again"}
}

// open reads the header and checks that the tag table fits.
func open(data []byte) (*container, error) {
	if len(data) < headerSize+4 {
		return nil, broken("header", "has %d bytes, expected at least %d", len(data), headerSize+4)
	}
	if sig := string(data[36:40]); sig != "acsp" {
		return nil, broken("header", "has the signature %q, expected \"acsp\"", sig)
	}
	size := int64(binary.BigEndian.Uint32(data))
	if size > int64(len(data)) || size < headerSize+4 {
		return nil, broken("header", "claims %d bytes, has %d: cut short?", size, len(data))
	}
	data = data[:size]
	count := int64(binary.BigEndian.Uint32(data[headerSize:]))
	if count > (size-headerSize-4)/entrySize {
		return nil, broken("tag table", "claims %d tags, more than fit in %d bytes", count, size)
	}
	return &container{data: data, count: int(count),
		class: string(data[12:16]), space: string(data[16:20]), pcs: string(data[20:24])}, nil
}

// entry returns where a tag is, and whether the table lists it.
func (c *container) entry(name string) (offset, size int64, ok bool) {
	for i := range c.count {
		e := c.data[headerSize+4+i*entrySize:][:entrySize]
		if string(e[:4]) == name {
			return int64(binary.BigEndian.Uint32(e[4:])), int64(binary.BigEndian.Uint32(e[8:])), true
		}
	}
	return 0, 0, false
}

func (c *container) has(name string) bool {
	_, _, ok := c.entry(name)
	return ok
}

// tag returns a tag's bytes, at least the 8 of its type signature.
func (c *container) tag(name string) ([]byte, error) {
	offset, size, ok := c.entry(name)
	if !ok {
		return nil, broken("tag "+name, "is missing")
	}
	if size < 8 || offset+size > int64(len(c.data)) {
		return nil, broken("tag "+name, "has %d bytes at %d, but the profile has %d in all", size, offset, len(c.data))
	}
	return c.data[offset : offset+size], nil
}

// kind returns a tag's type: "curv", "XYZ ".
func kind(tag []byte) string { return string(tag[:4]) }

// fixed reads an s15Fixed16Number, ICC.1:2010 4.6.
func fixed(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }
