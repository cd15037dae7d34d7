package sheet

import (
	"bytes"
	"encoding/binary"
	"hash"
	"hash/adler32"
	"io"

	"github.com/klauspost/compress/flate"
)

// chunkBytes is how much of a picture is filtered and compressed at a time.
const chunkBytes = 1 << 20

// sampleBytes of each chunk decide how the chunk is compressed.
const sampleBytes = 32 << 10

// writeDeflated writes the rows of p as one zlib stream (RFC 1950) with each
// row PNG-filtered "up" (ISO/IEC 15948, 9.2; PDF predictor 15).
//
// Grainy 16-bit pictures are smallest and fastest with Huffman codes alone,
// flat ones need string matching. Each chunk is a run of blocks of its own
// compressor, which never looks back beyond the chunk, so the way can change
// from chunk to chunk inside one valid stream.
func writeDeflated(w io.Writer, p pixels) error {
	if _, err := w.Write([]byte{0x78, 0x9c}); err != nil {
		return err
	}
	f := p.form()
	d := newDeflater(w)
	up := upFilter{above: make([]byte, f.rowBytes()), row: make([]byte, f.rowBytes())}
	for range f.height {
		if err := up.next(p, &d.chunk); err != nil {
			return err
		}
		if d.chunk.Len() >= chunkBytes {
			if err := d.flush(); err != nil {
				return err
			}
		}
	}
	return d.finish()
}

// upFilter holds a row and the one above it.
type upFilter struct{ above, row []byte }

// next reads a row of p and appends it to out as its difference from the row
// above, after the filter byte.
func (u *upFilter) next(p pixels, out *bytes.Buffer) error {
	if err := p.readRow(u.row); err != nil {
		return err
	}
	out.WriteByte(2)
	for i, v := range u.row {
		u.above[i] = v - u.above[i]
	}
	out.Write(u.above)
	u.above, u.row = u.row, u.above
	return nil
}

type deflater struct {
	w              io.Writer
	chunk          bytes.Buffer
	sum            hash.Hash32
	codes, strings *flate.Writer
	trial          bytes.Buffer
}

func newDeflater(w io.Writer) *deflater {
	d := &deflater{w: w, sum: adler32.New()}
	d.codes, d.strings = mustFlate(flate.HuffmanOnly), mustFlate(6)
	return d
}

func mustFlate(level int) *flate.Writer {
	fw, err := flate.NewWriter(io.Discard, level)
	if err != nil {
		panic("sheet: " + err.Error()) // the level is ours
	}
	return fw
}

// flush compresses the chunk and ends it on a byte.
func (d *deflater) flush() error {
	data := d.chunk.Bytes()
	d.sum.Write(data)
	sample := data[:min(len(data), sampleBytes)]
	fw := d.codes
	if d.size(d.strings, sample) < d.size(d.codes, sample) {
		fw = d.strings
	}
	fw.Reset(d.w)
	if _, err := fw.Write(data); err != nil {
		return err
	}
	d.chunk.Reset()
	return fw.Flush()
}

// size returns how long sample becomes with fw.
func (d *deflater) size(fw *flate.Writer, sample []byte) int {
	d.trial.Reset()
	fw.Reset(&d.trial)
	fw.Write(sample) // to memory: cannot fail
	fw.Flush()
	return d.trial.Len()
}

// finish writes what is left, an empty last block (RFC 1951, 3.2.4) and the
// checksum.
func (d *deflater) finish() error {
	if d.chunk.Len() > 0 {
		if err := d.flush(); err != nil {
			return err
		}
	}
	_, err := d.w.Write(binary.BigEndian.AppendUint32([]byte{1, 0, 0, 0xff, 0xff}, d.sum.Sum32()))
	return err
}
