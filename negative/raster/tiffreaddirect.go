package raster

import "io"

// direct reports whether rows can be read from the file to where they are
// wanted: uncompressed strips of 8 or 16 bits, of which every sample counts.
func (f *tiffForm) direct() bool {
	return f.compression == compressionNone && !f.tiled && f.plain() && !f.reversed && !f.float && !f.iccLab && (f.bits == 8 || f.bits == 16)
}

// readDirect fills rows, as many at a time as lie together both in memory and in
// a strip.
func (t *tiffDecoder) readDirect(dst [][]uint16) (int, error) {
	for done := 0; done < len(dst); {
		left := t.blockHeight - t.row%t.blockHeight
		n, all := together(dst[done:min(done+left, len(dst))], t.head.RowSamples())
		got, err := t.readTogether(all, n)
		t.row += got
		if done += got; err != nil {
			return done, err
		}
	}
	return len(dst), nil
}

// readTogether reads the next n rows, all of one strip, and returns how many are
// whole.
func (t *tiffDecoder) readTogether(all []uint16, n int) (int, error) {
	raw, rowBytes := bytesOf(all), t.rowBytes()
	if t.bits == 8 {
		raw = raw[len(all):]
	}
	strip, skip := t.row/t.blockHeight, t.row%t.blockHeight
	stored := int(min(t.counts[strip]/uint64(rowBytes), uint64(t.blockRows(strip))))
	n = min(n, stored-skip)
	if n <= 0 {
		return 0, t.cutShort(strip, stored)
	}
	if len(raw) > n*rowBytes { // the strip is cut short: what it has comes first
		all = all[:n*t.head.RowSamples()]
		if raw = bytesOf(all); t.bits == 8 {
			raw = raw[len(all):]
		}
	}
	if got, err := t.r.ReadAt(raw, int64(t.offsets[strip])+int64(skip)*int64(rowBytes)); got < len(raw) {
		return 0, t.readFault(strip, skip+got/rowBytes, err)
	}
	if t.bits == 8 {
		expandUpper(all)
	} else {
		settle(all, t.order)
	}
	if t.whiteIsZero {
		invertEvery(all, 1)
	}
	return n, nil
}

// cutShort says that block i has only some of its rows.
func (f *tiffForm) cutShort(i, rows int) error {
	return broken("TIFF", f.blockName(i), "ends after %d of %d rows", rows, f.blockRows(i))
}

// readFault says why block i could not be read: the file became shorter while it
// was read, or the disk failed.
func (f *tiffForm) readFault(i, rows int, err error) error {
	if err == nil || err == io.EOF || err == io.ErrUnexpectedEOF {
		return f.cutShort(i, rows)
	}
	return err
}
