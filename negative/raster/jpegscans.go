package raster

import "io"

// mostScans is how many scans a progressive picture may have. Encoders write about
// ten; every scan costs a walk over the whole picture, even one of a few bytes, so
// that a small file of very many would keep a reader busy for hours. A working
// value of ours.
const mostScans = 300

// scanCounter passes a file on and fails where it has too many scans. Within the
// coded data 0xff is always followed by zero or a restart marker (T.81, B.1.1.5),
// so only there can a start of scan be seen, or in a segment by chance.
type scanCounter struct {
	r     io.Reader
	after bool // 0xff was the last byte
	scans int
}

func (c *scanCounter) Read(b []byte) (int, error) {
	n, err := c.r.Read(b)
	for _, v := range b[:n] {
		if c.after && v == 0xda {
			c.scans++
		}
		c.after = v == 0xff
	}
	if c.scans > mostScans {
		return 0, broken("JPEG", "picture data", "has more than %d scans", mostScans)
	}
	return n, err
}
