package raster

import (
	"encoding/binary"
	"hash/crc32"
	"io"

	"github.com/klauspost/compress/zlib"
)

// pngDecoder gives the rows of a PNG file as they inflate; an interlaced picture
// is put together in memory first.
type pngDecoder struct {
	*pngInfo
	colours colours
	head    Header
	r       io.ReaderAt
	size    int64
	inflate io.ReadCloser
	rows    *pngRows
	held    *pngHeld // an interlaced picture, which all its readers share
	row     int
}

func newPNGDecoder(r io.ReaderAt, size int64) (decoder, error) {
	info, err := readPNGInfo(r, size)
	if err != nil {
		return nil, err
	}
	p := &pngDecoder{pngInfo: info, colours: newColours(info), r: r, size: size, held: &pngHeld{}}
	h := Header{Width: info.width, Height: info.height, Channels: p.colours.channels, Bits: info.bits,
		PPIX: info.ppiX, PPIY: info.ppiY, Orientation: info.orientation, Profile: info.profile,
		Format: "PNG", Description: info.description, BandRows: 1}
	info.colourSpace(&h)
	h.HeldBytes = blockBytes + 2*int64(info.rowBytes(info.width))
	if info.interlaced {
		h.Access = Whole
		h.HeldBytes += 2 * int64(h.Height) * int64(h.RowSamples())
	}
	p.head = h
	return p, nil
}

// rowBytes is the length of a row of width pixels, without its filter byte.
func (p *pngInfo) rowBytes(width int) int { return (width*p.bits*p.kind.samples() + 7) / 8 }

func (p *pngDecoder) header() Header { return p.head }

func (p *pngDecoder) seekRow(y int) error {
	p.row = y
	if !p.interlaced {
		p.rows = nil
	}
	return nil
}

// fork returns another reader of an interlaced picture; others are Sequential.
func (p *pngDecoder) fork() (decoder, error) {
	return &pngDecoder{pngInfo: p.pngInfo, colours: p.colours, head: p.head, r: p.r, size: p.size, held: p.held}, nil
}

func (p *pngDecoder) readRow(dst []uint16) error {
	if p.interlaced {
		whole, err := p.whole()
		if err != nil {
			return err
		}
		copy(dst, whole[p.row*p.head.RowSamples():])
		p.row++
		return nil
	}
	if p.rows == nil {
		if err := p.start(p.width); err != nil {
			return err
		}
	}
	raw, err := p.rows.next()
	if err != nil {
		return p.fault(err)
	}
	p.row++
	if err := p.colours.expand(dst, raw); err != nil {
		return err
	}
	if p.row == p.height {
		return p.fault(p.checkEnd())
	}
	return nil
}

// start opens the picture data at their beginning.
func (p *pngDecoder) start(width int) error {
	data := &idatReader{r: p.r, size: p.size, at: p.first}
	var err error
	if p.inflate == nil {
		p.inflate, err = zlib.NewReader(data)
	} else {
		err = p.inflate.(zlib.Resetter).Reset(data, nil)
	}
	if err != nil {
		return p.fault(err)
	}
	p.rows = newPNGRows(p.inflate, p.rowBytes(width), max(1, p.bits*p.kind.samples()/8))
	return nil
}

// checkEnd holds the checksum against the data when the last row is out.
func (p *pngDecoder) checkEnd() error {
	if _, err := p.inflate.Read(make([]byte, 1)); err != nil && err != io.EOF {
		return err
	}
	return nil
}

// fault says what is wrong with the picture data.
func (p *pngDecoder) fault(err error) error {
	switch e := err.(type) {
	case nil:
		return nil
	case *FormatError:
		return e
	}
	switch {
	case isDiskError(err):
		return err
	case err == io.EOF || err == io.ErrUnexpectedEOF:
		return broken("PNG", "picture data", "end before row %d of %d", min(p.row+1, p.height), p.height)
	}
	return broken("PNG", "picture data", "are damaged at row %d of %d (%v)", min(p.row+1, p.height), p.height, err)
}

// idatReader gives the data of the IDAT chunks, which follow each other, and
// checks each chunk's sum.
type idatReader struct {
	r     io.ReaderAt
	size  int64
	at    int64 // of the next chunk, then of its data
	left  int64
	sum   uint32
	open  bool
	bytes [4096]byte
	have  []byte
}

func (d *idatReader) Read(p []byte) (int, error) {
	if len(d.have) == 0 {
		if err := d.fill(); err != nil {
			return 0, err
		}
	}
	n := copy(p, d.have)
	d.have = d.have[n:]
	return n, nil
}

// ReadByte lets the inflater take no more than it needs.
func (d *idatReader) ReadByte() (byte, error) {
	if len(d.have) == 0 {
		if err := d.fill(); err != nil {
			return 0, err
		}
	}
	v := d.have[0]
	d.have = d.have[1:]
	return v, nil
}

func (d *idatReader) fill() error {
	for d.left == 0 {
		if err := d.nextChunk(); err != nil {
			return err
		}
	}
	p := d.bytes[:min(d.left, int64(len(d.bytes)))]
	if n, err := d.r.ReadAt(p, d.at); n < len(p) {
		return noEOF(err)
	}
	d.sum = crc32.Update(d.sum, crc32.IEEETable, p)
	d.at, d.left, d.have = d.at+int64(len(p)), d.left-int64(len(p)), p
	return nil
}

// nextChunk ends the chunk that has been read and begins the next.
func (d *idatReader) nextChunk() error {
	if d.open {
		sum, err := readAt("PNG", "chunk IDAT", d.r, d.size, d.at, 4)
		if err != nil {
			return err
		}
		if d.sum != binary.BigEndian.Uint32(sum) {
			return broken("PNG", "chunk IDAT", "its checksum is wrong")
		}
		d.at += 4
	}
	c, err := readPNGChunk(d.r, d.size, d.at)
	if err != nil {
		return err
	}
	if c.kind != "IDAT" {
		return io.EOF
	}
	d.at, d.left, d.open = c.offset, c.n, true
	d.sum = crc32.ChecksumIEEE([]byte(c.kind))
	return nil
}
