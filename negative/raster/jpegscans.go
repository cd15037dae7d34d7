package raster

import (
	"errors"
	"image/jpeg"
	"io"
)

// mostScans is how many scans a progressive picture may have. Encoders write about
// ten; every scan costs a walk over the whole picture, even one of a few bytes, so
// that a small file of very many would keep a reader busy for hours. A working
// value of ours.
const mostScans = 300

// scanCounter passes a file on, fails where it has too many scans, and notes
// whether it has restart markers (segment DRI). Within the
// coded data 0xff is always followed by zero or a restart marker (T.81, B.1.1.5),
// so only there can a start of scan be seen, or in a segment by chance.
type scanCounter struct {
	r        io.Reader
	after    bool // 0xff was the last byte
	scans    int
	restarts bool
}

func (c *scanCounter) Read(b []byte) (int, error) {
	n, err := c.r.Read(b)
	for _, v := range b[:n] {
		switch {
		case c.after && v == 0xda:
			c.scans++
		case c.after && v == 0xdd:
			c.restarts = true
		}
		c.after = v == 0xff
	}
	if c.scans > mostScans {
		return 0, broken("JPEG", "picture data", "has more than %d scans", mostScans)
	}
	return n, err
}

// restartFault says why image/jpeg failed on a progressive picture with restart
// markers and chroma of reduced size: it counts what lies between markers in units
// of all components, also in scans of luma alone, where T.81, A.2.2 counts blocks.
// No such picture comes out wrong, for it meets a marker before it looks for one.
func (j *jpegInfo) restartFault(err error) error {
	var f jpeg.FormatError
	reduced := j.sampling[0] != [2]int{1, 1}
	if !errors.As(err, &f) || j.components == 1 || !reduced {
		return jpegFault(err)
	}
	return &UnsupportedError{Format: "JPEG", Feature: "progressive coding with restart markers and chroma of reduced size",
		Fix: "open it in an editor and save it anew, not progressive"}
}
