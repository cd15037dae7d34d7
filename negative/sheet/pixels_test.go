package sheet

import (
	"bytes"
	"compress/zlib"
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"testing"
)

// memoryPixels are rows in memory.
type memoryPixels struct {
	f    imageForm
	data []byte
	y    int
	err  error // after the last row
}

func (m *memoryPixels) form() imageForm { return m.f }
func (m *memoryPixels) close() error    { return nil }
func (m *memoryPixels) readRow(dst []byte) error {
	n := m.f.rowBytes()
	if (m.y+1)*n > len(m.data) {
		return m.err
	}
	copy(dst, m.data[m.y*n:])
	m.y++
	return nil
}

// noisy makes a picture of which a third is grain, a third flat, a third smooth.
func noisy(f imageForm) *memoryPixels {
	r := rand.New(rand.NewPCG(1, 2))
	m := &memoryPixels{f: f, data: make([]byte, f.rowBytes()*f.height)}
	for i := range m.data {
		switch 3 * i / len(m.data) {
		case 0:
			m.data[i] = byte(r.Uint32())
		case 1:
			m.data[i] = 0xff
		default:
			m.data[i] = byte(i / 7)
		}
	}
	return m
}

// unfilter undoes the PNG filters left, above and mean (ISO/IEC 15948, 9.2).
func unfilter(t *testing.T, data []byte, f imageForm) []byte {
	t.Helper()
	var out []byte
	above, pixel := make([]byte, f.rowBytes()), f.channels*f.bits/8
	for ; len(data) > 0; data = data[len(above)+1:] {
		row := bytes.Clone(data[1 : len(above)+1])
		for i := range row {
			left := 0
			if i >= pixel {
				left = int(row[i-pixel])
			}
			switch data[0] {
			case 1:
				row[i] += byte(left)
			case 2:
				row[i] += above[i]
			case 3:
				row[i] += byte((left + int(above[i])) / 2)
			default:
				t.Fatalf("filter byte %d", data[0])
			}
		}
		out, above = append(out, row...), row
	}
	return out
}

func TestDeflatedReadsBack(t *testing.T) {
	for _, f := range []imageForm{{1, 1, 1, 8}, {1, 1, 1, 16}, {300, 2000, 3, 16}, {700, 1700, 1, 8}, {2100, 900, 1, 16}} {
		m := noisy(f)
		var b bytes.Buffer
		if err := writeDeflated(&b, m); err != nil {
			t.Fatal(err)
		}
		z, err := zlib.NewReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(z) // checks the checksum too
		if err != nil {
			t.Fatalf("%v: %v", f, err)
		}
		if got := unfilter(t, data, f); !bytes.Equal(got, m.data) {
			t.Errorf("%v: rows differ", f)
		}
		if b.Len() > 0 {
			t.Errorf("%v: %d bytes after the stream", f, b.Len())
		}
	}
}

// Flat film must not be stored as Huffman codes alone: they cannot go below a
// bit a byte.
func TestFlatFilmIsSmall(t *testing.T) {
	f := imageForm{4000, 1000, 1, 16}
	m := &memoryPixels{f: f, data: bytes.Repeat([]byte{0x12, 0x34}, f.width*f.height)}
	var b bytes.Buffer
	if err := writeDeflated(&b, m); err != nil {
		t.Fatal(err)
	}
	if b.Len() > len(m.data)/100 {
		t.Errorf("flat film of %d bytes takes %d", len(m.data), b.Len())
	}
}

func TestDeflatedPassesErrorsOn(t *testing.T) {
	m := noisy(imageForm{10, 10, 1, 8})
	m.data, m.err = m.data[:50], io.ErrUnexpectedEOF
	if err := writeDeflated(io.Discard, m); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("got %v", err)
	}
}

// A strip in 8 bits keeps what 16 bits say, as a mean over each patch.
func TestStripKeepsMeans(t *testing.T) {
	values := []float64{0, 0.0113, 0.25, 0.5004, 0.9937, 1}
	var patches []Patch
	for _, v := range values {
		patches = append(patches, Patch{Device: [3]float64{v, v / 2, v}})
	}
	form := imageForm{channels: 3, bits: 8}
	p, err := stripJob(patches, 6, &form)(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	sums := make([]float64, len(values))
	side := p.form().height
	row := make([]byte, p.form().rowBytes())
	for range side {
		if err := p.readRow(row); err != nil {
			t.Fatal(err)
		}
		for x := range p.form().width {
			sums[x/side] += float64(row[3*x])
		}
	}
	for i, v := range values {
		if mean := sums[i] / float64(side*side); math.Abs(mean-v*255) > 1.0/16 {
			t.Errorf("patch of %g has mean %.3f of 255, want %.3f", v, mean, v*255)
		}
	}
}
