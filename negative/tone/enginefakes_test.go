package tone

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"testing"

	"actinic/negative/raster"
)

// seekable is a picture whose rows can be reached in any order, also by several
// readers at once. It counts the rows that a file of strips would decode.
type seekable struct {
	*fakePicture
	row     int
	failAt  int // reading this row fails; 0 for none
	decoded *atomic.Int64
	open    *atomic.Int64
}

// lying returns a picture as a file of some kind gives it.
func lying(p *fakePicture, access raster.Access, bandRows int) raster.Source {
	p.header.Access, p.header.BandRows, p.row = access, bandRows, 0
	if access == raster.Sequential {
		return p
	}
	return &seekable{fakePicture: p, decoded: new(atomic.Int64), open: new(atomic.Int64)}
}

func (s *seekable) SeekRow(y int) error {
	if y < 0 || y > s.header.Height {
		return fmt.Errorf("row %d is not in the picture", y)
	}
	s.row = y
	s.decoded.Add(int64(y % s.header.BandRows)) // the strip's rows above
	return nil
}

func (s *seekable) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	n := 0
	for n < len(dst) && n < 5 && s.row < s.header.Height {
		if s.failAt > 0 && s.row >= s.failAt {
			return n, fmt.Errorf("row %d is broken", s.row)
		}
		copy(dst[n], s.pix[s.row*s.header.Width*s.header.Channels:])
		n, s.row = n+1, s.row+1
	}
	s.decoded.Add(int64(n))
	if n == 0 && len(dst) > 0 {
		return 0, io.EOF
	}
	return n, nil
}

func (s *seekable) Restart() error { s.row = 0; return nil }
func (s *seekable) Close() error   { s.open.Add(-1); return nil }

func (s *seekable) Fork() (raster.Forker, error) {
	s.open.Add(1)
	return &seekable{fakePicture: s.fakePicture, failAt: s.failAt, decoded: s.decoded, open: s.open}, nil
}

// stripsKept is a sink in memory that takes strips.
type stripsKept struct {
	rowsKept
	unit  int
	ended bool // the last strip has come, or all were full
}

func (s *stripsKept) StripRows() int           { return s.unit }
func (s *stripsKept) NewPacker() raster.Packer { return s }

func (s *stripsKept) Pack(rows [][]uint16) (raster.Strip, error) {
	strip := raster.Strip{Rows: len(rows)}
	for _, row := range rows {
		for i, v := range row {
			strip.Data = append(strip.Data, byte(v>>8), byte(v))
			row[i] = 0x5555 // rows may be changed
		}
	}
	return strip, nil
}

func (s *stripsKept) WriteStrip(_ context.Context, strip raster.Strip) error {
	if s.ended {
		return errors.New("a strip follows one with fewer rows")
	}
	s.ended = strip.Rows != s.unit
	width := len(strip.Data) / strip.Rows / 2
	for y := range strip.Rows {
		row := make([]uint16, width)
		for x := range row {
			at := 2 * (y*width + x)
			row[x] = uint16(strip.Data[at])<<8 | uint16(strip.Data[at+1])
		}
		s.rows = append(s.rows, row)
	}
	return nil
}

// readAll reads a film by ReadRows, so many rows at a time.
func readAll(t *testing.T, f *Film, step int) [][]uint16 {
	t.Helper()
	var all rowsKept
	for band := raster.NewBand(f.Header(), step); ; {
		n, err := f.ReadRows(t.Context(), band)
		if err == io.EOF {
			return all.rows
		}
		if err != nil {
			t.Fatal(err)
		}
		all.WriteRows(t.Context(), band[:n])
	}
}

// inBandsOf makes films in bands of so many rows at most for the rest of a test.
func inBandsOf(t *testing.T, rows int64) {
	before := mostRows
	mostRows = rows
	t.Cleanup(func() { mostRows = before })
}
