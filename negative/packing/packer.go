package packing

import (
	"encoding/binary"
	"hash/adler32"
	"io"

	"github.com/klauspost/compress/flate"
)

// way is how a piece is packed.
type way int

const (
	codes   way = iota // Huffman codes of single bytes
	repeats            // and references to what stands before (RFC 1951, section 2)
	flat               // the same, sought for thoroughly
)

// Levels of the compressor for each way, and for a look at a sample. On charts of
// flat patches, filtered, level 7 needs half the bytes of level 6 and half its
// speed; where repeats are short it is thirty times slower than that (all seen on
// charts and negatives of ours).
var levels = [...]int{codes: flate.HuffmanOnly, repeats: 6, flat: 7}

const lookLevel = 1

// flatShare is the part that is left of a sample of a chart, at most: a working
// value of ours.
const flatShare = 1.0 / 16

// MemoryBytes is what a Packer takes once it has packed in all ways: four
// compressors, of 0.3 to 1.3 MiB (measured), and the sample. What is appended
// comes on top.
const MemoryBytes = 14 << 18

// Packer packs pieces, one after the other. It is not safe for concurrent use.
type Packer struct {
	out     appender
	writers [flat + 1]*flate.Writer
	look    *flate.Writer
	sample  [2][]byte
	row     []byte // filtered rows of a piece
}

// New returns a Packer. It takes memory when it is first used.
func New() *Packer { return &Packer{} }

// appender is the end of a slice that compressors write to.
type appender struct{ b []byte }

func (a *appender) Write(p []byte) (int, error) {
	a.b = append(a.b, p...)
	return len(p), nil
}

// counter counts what a compressor writes.
type counter struct{ n int }

func (c *counter) Write(p []byte) (int, error) {
	c.n += len(p)
	return len(p), nil
}

// AppendZlib appends data to dst as a whole zlib stream (RFC 1950).
func (p *Packer) AppendZlib(dst, data []byte) []byte {
	sample := p.sampleOf(data)
	w := p.choose(sample, sample)
	dst = p.append(append(dst, zlibHeader...), data, w)
	dst = append(dst, lastBlock...)
	return binary.BigEndian.AppendUint32(dst, adler32.Checksum(data))
}

// zlibHeader says deflate with a window of 32 KiB (RFC 1950, 2.2); lastBlock is
// an empty block of fixed codes that is marked as the last (RFC 1951, 3.2.3).
const (
	zlibHeader = "\x78\x9c"
	lastBlock  = "\x03\x00"
)

// append packs data one way as whole blocks that end on a byte and are not the
// last of their stream.
func (p *Packer) append(dst, data []byte, w way) []byte {
	if p.writers[w] == nil {
		p.writers[w] = newWriter(levels[w])
	}
	p.out.b = dst
	pack(p.writers[w], &p.out, data)
	dst, p.out.b = p.out.b, nil
	return dst
}

// choose returns the way for what asCodes is a sample of, or asRepeats where it
// would be filtered otherwise for that.
func (p *Packer) choose(asCodes, asRepeats []byte) way {
	if p.look == nil {
		p.look = newWriter(lookLevel)
	}
	if p.writers[codes] == nil {
		p.writers[codes] = newWriter(levels[codes])
	}
	left := length(p.look, asRepeats)
	switch {
	case left >= length(p.writers[codes], asCodes):
		return codes
	case float64(left) > flatShare*float64(len(asRepeats)):
		return repeats
	}
	return flat
}

// length returns how long data becomes with fw.
func length(fw *flate.Writer, data []byte) int {
	var c counter
	pack(fw, &c, data)
	return c.n
}

func pack(fw *flate.Writer, to io.Writer, data []byte) {
	fw.Reset(to)
	fw.Write(data) // to memory: cannot fail
	fw.Flush()
}

func newWriter(level int) *flate.Writer {
	fw, err := flate.NewWriter(io.Discard, level)
	if err != nil {
		panic("packing: " + err.Error()) // the levels are ours
	}
	return fw
}

// A sample is some places of a piece, of placeBytes each: a twentieth of the
// usual 256 KiB.
const (
	places     = 4
	placeBytes = 3 << 10
)

// sampleOf gathers places evenly spread over data.
func (p *Packer) sampleOf(data []byte) []byte {
	if len(data) <= places*placeBytes {
		return data
	}
	out := p.sample[0][:0]
	for i := range places {
		at := i * (len(data) - placeBytes) / (places - 1)
		out = append(out, data[at:at+placeBytes]...)
	}
	p.sample[0] = out
	return out
}
