package sheet

import (
	"io"

	"actinic/negative/packing"
)

// pieceBytes is how much of a picture is filtered and compressed at a time.
const pieceBytes = 256 << 10

// writeDeflated writes the rows of p as one zlib stream (RFC 1950) of
// PNG-filtered rows (ISO/IEC 15948, clause 9; PDF predictor 15), a piece at a
// time: only a piece is in memory.
func writeDeflated(w io.Writer, p pixels) error {
	if _, err := w.Write(packing.Header()); err != nil {
		return err
	}
	d := deflater{w: w, packer: packing.New(), form: p.form()}
	rows := max(1, pieceBytes/d.form.rowBytes())
	for y := 0; y < d.form.height; y += rows {
		if err := d.piece(p, min(rows, d.form.height-y)); err != nil {
			return err
		}
	}
	_, err := w.Write(d.sum.Trailer())
	return err
}

type deflater struct {
	w           io.Writer
	packer      *packing.Packer
	form        imageForm
	sum         packing.Sum
	raw, packed []byte
}

// piece reads, packs and writes the next rows.
func (d *deflater) piece(p pixels, rows int) error {
	n := d.form.rowBytes()
	if d.raw == nil {
		d.raw = make([]byte, rows*n)
	}
	for y := range rows {
		if err := p.readRow(d.raw[y*n : (y+1)*n]); err != nil {
			return err
		}
	}
	form := packing.Form{RowBytes: n, PixelBytes: d.form.channels * d.form.bits / 8}
	packed, piece := d.packer.AppendRows(d.packed[:0], d.raw[:rows*n], form)
	d.packed = packed
	d.sum.Add(piece)
	_, err := d.w.Write(packed)
	return err
}
