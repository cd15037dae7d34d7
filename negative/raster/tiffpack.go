package raster

import (
	"bytes"

	"github.com/klauspost/compress/zlib"
)

// packed is one strip as the file stores it.
type packed struct {
	data []byte
	err  error
}

// packer turns a strip's samples into what the file stores. It owns src.
type packer func(src []byte) packed

// packerFor returns a fresh packer; each is used by one goroutine at a time.
func packerFor(c Compression, h Header) func() packer {
	if c == NoCompression {
		return func() packer { return func(src []byte) packed { return packed{data: src} } }
	}
	stride, row := h.Channels, rowBytes(h)
	return func() packer {
		d := newStripDeflater()
		return func(src []byte) packed {
			for at := 0; at < len(src); at += row {
				difference(src[at:at+row], stride, h.Bits)
			}
			return d.pack(src)
		}
	}
}

// difference replaces a row's samples by their differences from the pixel on
// the left (TIFF 6.0, section 14), from the right end so that each is still
// there when it is needed. Samples of 16 bits are big-endian.
func difference(row []byte, stride, bits int) {
	if bits == 8 {
		for i := len(row) - 1; i >= stride; i-- {
			row[i] -= row[i-stride]
		}
		return
	}
	for i := len(row) - 2; i >= 2*stride; i -= 2 {
		left := i - 2*stride
		v := uint16(row[i])<<8 | uint16(row[i+1])
		v -= uint16(row[left])<<8 | uint16(row[left+1])
		row[i], row[i+1] = byte(v>>8), byte(v)
	}
}

// stringLevel is the compressor that finds repeats. Flat charts need it.
const stringLevel = 6

// stripDeflater packs a strip twice and keeps the shorter: Huffman codes alone
// are best and fastest for grain, string matching for what is flat or repeats.
type stripDeflater struct {
	codes, repeats *zlib.Writer
	a, b           bytes.Buffer
}

func newStripDeflater() *stripDeflater {
	d := &stripDeflater{}
	d.codes, _ = zlib.NewWriterLevel(&d.a, zlib.HuffmanOnly) // fails for unknown levels only
	d.repeats, _ = zlib.NewWriterLevel(&d.b, stringLevel)
	return d
}

func (d *stripDeflater) pack(src []byte) packed {
	if err := deflate(d.codes, &d.a, src); err != nil {
		return packed{err: err}
	}
	if err := deflate(d.repeats, &d.b, src); err != nil {
		return packed{err: err}
	}
	best := &d.a
	if d.b.Len() < d.a.Len() {
		best = &d.b
	}
	return packed{data: bytes.Clone(best.Bytes())}
}

func deflate(z *zlib.Writer, to *bytes.Buffer, src []byte) error {
	to.Reset()
	z.Reset(to)
	if _, err := z.Write(src); err != nil {
		return err
	}
	return z.Close()
}

// packQueue packs strips on several cores and gives them back in order.
type packQueue struct {
	free    chan packer   // packers at rest
	running []chan packed // in order of the strips
	jobs    int
}

func newPackQueue(fresh func() packer, jobs int) *packQueue {
	q := &packQueue{free: make(chan packer, jobs), jobs: jobs}
	for range jobs {
		q.free <- fresh()
	}
	return q
}

// add starts packing a strip, which the queue now owns, and returns what must be
// written before more than jobs strips are under way.
func (q *packQueue) add(strip []byte) []packed {
	var ready []packed
	if len(q.running) == q.jobs {
		ready = append(ready, <-q.running[0])
		q.running = q.running[1:]
	}
	out := make(chan packed, 1)
	q.running = append(q.running, out)
	p := <-q.free
	go func() {
		out <- p(strip)
		q.free <- p
	}()
	return ready
}

// buffer returns room for the next strip.
func (q *packQueue) buffer() []byte { return make([]byte, 0, stripBytes) }

// finish waits for all strips and returns them.
func (q *packQueue) finish() []packed {
	var ready []packed
	for _, out := range q.running {
		ready = append(ready, <-out)
	}
	q.running = nil
	return ready
}
