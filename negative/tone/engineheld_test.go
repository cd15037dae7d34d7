package tone

import (
	"context"
	"fmt"
	"runtime"
	"testing"

	"actinic/negative/raster"
)

// endless is a picture of any size without memory of its own, read by seeking or
// in order.
type endless struct {
	header raster.Header
	row    int
}

func (p *endless) Header() raster.Header        { return p.header }
func (p *endless) Restart() error               { p.row = 0; return nil }
func (p *endless) SeekRow(y int) error          { p.row = y; return nil }
func (p *endless) Close() error                 { return nil }
func (p *endless) Fork() (raster.Forker, error) { return &endless{header: p.header}, nil }

func (p *endless) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := min(len(dst), p.header.Height-p.row)
	for i, row := range dst[:n] {
		for x := range row {
			row[x] = uint16(x*7 + p.row + i)
		}
	}
	p.row += n
	return n, nil
}

// weighing is a sink that takes strips as files do, and weighs what is alive now
// and then.
type weighing struct {
	nowhere
	unit     int
	strips   int
	heaviest uint64
}

func (s *weighing) StripRows() int           { return s.unit }
func (s *weighing) NewPacker() raster.Packer { return s }

func (s *weighing) Pack(rows [][]uint16) (raster.Strip, error) {
	return raster.Strip{Rows: len(rows), Data: make([]byte, 2*len(rows)*len(rows[0]))}, nil
}

func (s *weighing) WriteStrip(context.Context, raster.Strip) error {
	if s.strips++; s.strips%13 == 5 {
		s.heaviest = max(s.heaviest, alive())
	}
	return nil
}

func alive() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// weigh makes a film and returns the most memory that was alive meanwhile, beyond
// what was there before.
func weigh(t *testing.T, h raster.Header, c Curve, o Options, jobs int) (held, weighed int64) {
	t.Helper()
	table := film(t, c)
	before := alive()
	f, err := Negative(&endless{header: h}, linear{}, table, o, jobs)
	if err != nil {
		t.Fatal(err)
	}
	s := &weighing{unit: 8}
	if err := f.Run(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	return f.Header().HeldBytes, int64(s.heaviest) - int64(before)
}

// heldTest is a way through the engine.
type heldTest struct {
	name     string
	access   raster.Access
	bandRows int
	channels int // of the film
	o        Options
}

func (t heldTest) curve() Curve {
	if t.channels == 3 {
		return olive
	}
	return greyCurve
}

// The memory that a header promises is what making the film takes, within a
// quarter and 300 kB; several workers may take less.
func TestHeldBytesIsTrue(t *testing.T) {
	for _, test := range []heldTest{
		{"kept", raster.AnyRow, 1, 1, Options{}}, {"kept, colour", raster.AnyRow, 1, 3, Options{}},
		{"kept, in order", raster.Sequential, 16, 1, Options{Depth: 8}}, {"strips", raster.AnyRow, 100, 1, Options{Edge: EdgeClear, EdgeMM: 1}},
		{"smaller", raster.AnyRow, 1, 1, Options{WidthMM: 700}}, {"smaller, in order", raster.Sequential, 1, 1, Options{WidthMM: 700}},
		{"larger", raster.AnyRow, 1, 1, Options{WidthMM: 2600}}, {"upside down", raster.AnyRow, 1, 1, Options{Rotate: 180}},
		{"upside down, in order", raster.Sequential, 1, 1, Options{Rotate: 180, HeldBytes: 2 << 20}},
		{"on its side", raster.AnyRow, 1, 1, Options{Rotate: 90}}, {"on its side, colour", raster.AnyRow, 1, 3, Options{Rotate: 90}},
		{"on its side, one strip", raster.AnyRow, 2000, 1, Options{Rotate: 90}},
		{"upside down, one strip", raster.AnyRow, 2000, 1, Options{Rotate: 180, HeldBytes: 1 << 20}},
		{"in passes", raster.Sequential, 1, 1, Options{Rotate: 270, HeldBytes: 2 << 20}},
		{"smaller, on its side", raster.AnyRow, 1, 1, Options{Rotate: 90, WidthMM: 700}},
	} {
		for _, jobs := range []int{1, 3} {
			h := raster.Header{Width: 1500, Height: 2000, Channels: 1, Bits: 16, Access: test.access, BandRows: test.bandRows}
			test.o.PPI = 25.4
			held, weighed := weigh(t, h, test.curve(), test.o, jobs)
			t.Logf("%s, jobs %d: %d kB promised, %d kB alive", test.name, jobs, held>>10, weighed>>10)
			over, under := held+held/4+300<<10, held-held/4-300<<10
			if jobs > 1 { // not all workers have all they may have at once
				under = held/2 - 300<<10
			}
			if weighed > over || weighed < under {
				t.Errorf("%s, jobs %d: %d kB promised, %d kB alive", test.name, jobs, held>>10, weighed>>10)
			}
		}
	}
}

// A picture four times as high, or one that is turned and four times as large,
// takes no more memory.
func TestHeldBytesDoesNotGrow(t *testing.T) {
	for _, o := range []Options{{}, {WidthMM: 700}, {Rotate: 180}, {Rotate: 90, HeldBytes: 2 << 20}} {
		var held [2]int64
		for i, height := range []int{1500, 6000} {
			h := raster.Header{Width: 1000, Height: height, Channels: 1, Bits: 16, Access: raster.AnyRow, BandRows: 1}
			o.PPI = 25.4
			var weighed int64
			held[i], weighed = weigh(t, h, greyCurve, o, 2)
			if weighed > held[i]+held[i]/4+300<<10 {
				t.Errorf("%+v, height %d: %d bytes alive, %d promised", o, height, weighed, held[i])
			}
		}
		if growth := held[1] - held[0]; growth > held[0]/2+1<<20 {
			t.Errorf("%+v: %s", o, fmt.Sprintf("%d bytes, %d for four times the height", held[0], held[1]))
		}
	}
}
