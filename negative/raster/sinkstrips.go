package raster

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"actinic/negative/packing"
)

// stripBytes is the aim for a strip before packing: small enough that readers
// need little memory, large enough to pack well.
const stripBytes = 256 << 10

// rowBytes is the length of a row as a sink stores it.
func rowBytes(h Header) int { return h.RowSamples() * h.Bits / 8 }

func stripRows(h Header) int {
	return min(h.Height, max(1, stripBytes/rowBytes(h)))
}

// SinkBytes returns the memory that a TIFF or PNG sink for h takes while jobs
// goroutines pack for it, through WriteRows or with packers of their own, at
// most. Rows that wait to be packed in the second case are not in it.
func SinkBytes(h Header, c Compression, jobs int) int64 {
	strip := int64(stripRows(h)) * int64(rowBytes(h)+1)
	rows := int64(stripRows(h)) * int64(h.RowSamples()) * 2
	each := rows + 3*strip + strip/8 // rows gathered, filtered, packed and on the way
	if c == Deflate {
		each += packing.MemoryBytes
	}
	return int64(jobs)*each + rows + strip
}

// strips makes a StripSink of a function that stores strips: rows are gathered,
// packed on jobs goroutines and stored in order.
type strips struct {
	head  Header
	fresh func() Packer
	put   func(Strip) error
	jobs  int

	row     int            // next row of the picture to come
	fill    int            // rows in band
	band    [][]uint16     // gathered
	spare   []([][]uint16) // bands at rest
	idle    []Packer
	running []*packJob // in the order of strips
	packed  bool       // strips came through WriteStrip
	done    bool
}

// packJob is a strip that is being packed.
type packJob struct {
	band   [][]uint16
	packer Packer
	strip  Strip
	err    error
	ready  chan struct{}
}

// begin sets what all sinks of strips share; jobs is 0 for all cores.
func (s *strips) begin(h Header, jobs int, fresh func() Packer, put func(Strip) error) {
	if jobs < 1 {
		jobs = runtime.GOMAXPROCS(0)
	}
	s.head, s.jobs, s.fresh, s.put = h, jobs, fresh, put
}

func (s *strips) StripRows() int    { return stripRows(s.head) }
func (s *strips) NewPacker() Packer { return s.fresh() }

// WriteRows packs and writes every strip that the rows complete.
func (s *strips) WriteRows(ctx context.Context, rows [][]uint16) error {
	for _, row := range rows {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := checkRow(s.head, s.row, len(row), s.done); err != nil {
			return err
		}
		if s.packed {
			return errMixed
		}
		if err := s.gather(row); err != nil {
			return err
		}
	}
	return nil
}

var errMixed = fmt.Errorf("raster: a file is written by rows or by strips, not both")

// gather keeps a copy of the row, and has the strip packed when it is full.
func (s *strips) gather(row []uint16) error {
	if s.band == nil {
		s.band = s.spareBand()
	}
	copy(s.band[s.fill], row)
	s.fill++
	s.row++
	if s.fill < stripRows(s.head) && s.row < s.head.Height {
		return nil
	}
	if err := s.storeUntil(s.jobs - 1); err != nil {
		return err
	}
	return s.start()
}

// start packs the band; on one core without a goroutine of its own.
func (s *strips) start() error {
	j := &packJob{band: s.band, packer: s.idlePacker(), ready: make(chan struct{})}
	rows := s.band[:s.fill]
	s.band, s.fill = nil, 0
	s.running = append(s.running, j)
	work := func() {
		j.strip, j.err = j.packer.Pack(rows)
		close(j.ready)
	}
	if s.jobs > 1 {
		go work()
		return nil
	}
	work()
	return s.storeUntil(0)
}

// storeUntil stores strips, the oldest first, until at most n are under way.
func (s *strips) storeUntil(n int) error {
	for len(s.running) > n {
		j := s.running[0]
		<-j.ready
		s.running = s.running[1:]
		s.spare, s.idle = append(s.spare, j.band), append(s.idle, j.packer)
		if j.err != nil {
			return j.err
		}
		if err := s.put(j.strip); err != nil {
			return err
		}
	}
	return nil
}

func (s *strips) spareBand() [][]uint16 {
	if n := len(s.spare); n > 0 {
		band := s.spare[n-1]
		s.spare = s.spare[:n-1]
		return band
	}
	return NewBand(s.head, stripRows(s.head))
}

func (s *strips) idlePacker() Packer {
	if n := len(s.idle); n > 0 {
		p := s.idle[n-1]
		s.idle = s.idle[:n-1]
		return p
	}
	return s.fresh()
}

// WriteStrip writes the next strip.
func (s *strips) WriteStrip(ctx context.Context, strip Strip) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	want := min(stripRows(s.head), s.head.Height-s.row)
	switch {
	case s.done:
		return errDone
	case s.row > 0 && !s.packed:
		return errMixed
	case strip.Rows != want || want == 0:
		return fmt.Errorf("raster: a strip of %d rows from row %d, the file takes %d", strip.Rows, s.row, want)
	}
	s.packed = true
	s.row += strip.Rows
	return s.put(strip)
}

// finish stores what is under way and fails if rows are missing.
func (s *strips) finish() error {
	if s.done {
		return errDone
	}
	err := s.storeUntil(0)
	s.Abort()
	if err == nil && s.row != s.head.Height {
		err = missing(s.head, s.row)
	}
	return err
}

// Abort waits for strips under way and drops them.
func (s *strips) Abort() {
	for _, j := range s.running {
		<-j.ready
	}
	s.running, s.band, s.spare, s.idle, s.done = nil, nil, nil, nil, true
}

// checkStrip refuses rows that are no strip of the file.
func checkStrip(h Header, rows [][]uint16) error {
	if len(rows) < 1 || len(rows) > stripRows(h) {
		return fmt.Errorf("raster: %d rows for a strip of %d", len(rows), stripRows(h))
	}
	for y, row := range rows {
		if err := checkRow(h, y, len(row), false); err != nil {
			return err
		}
	}
	return nil
}

// stripBuffers are the bytes of strips, to be used again once they are written.
type stripBuffers struct {
	head  Header
	spare chan []byte
}

// mostBuffers at rest is more than the goroutines of most machines need.
const mostBuffers = 8

func newStripBuffers(h Header) stripBuffers { return stripBuffers{h, make(chan []byte, mostBuffers)} }

// get returns an empty slice with room for a strip.
func (b stripBuffers) get() []byte {
	select {
	case data := <-b.spare:
		return roomFor(data, b.head)
	default:
		return roomFor(nil, b.head)
	}
}

func (b stripBuffers) put(data []byte) {
	select {
	case b.spare <- data:
	default:
	}
}

// roomFor returns b, empty, with room for a strip and what packing may add to it.
func roomFor(b []byte, h Header) []byte {
	strip := stripRows(h) * (rowBytes(h) + 1)
	return slices.Grow(b[:0], strip+strip/128+64)
}
