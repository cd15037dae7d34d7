package packing_test

import (
	"bytes"
	"compress/zlib"
	"hash/adler32"
	"io"
	"math/rand/v2"
	"runtime"
	"testing"

	"pgregory.net/rapid"

	"actinic/negative/packing"
)

// inflate is the standard library's reader, which checks the checksum.
func inflate(t interface{ Fatal(...any) }, stream []byte) []byte {
	r := bytes.NewReader(stream)
	z, err := zlib.NewReader(r)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	if r.Len() > 0 {
		t.Fatal(r.Len(), "bytes after the stream")
	}
	return data
}

// kinds of data: nothing but grain, dither, flat, a chart of rows that repeat.
var kinds = map[string]func(n int) []byte{
	"grain": func(n int) []byte {
		r := rand.New(rand.NewPCG(1, 2))
		return fill(n, func(int) byte { return byte(r.Uint32()) })
	},
	"dither": func(n int) []byte {
		r := rand.New(rand.NewPCG(3, 4))
		return fill(n, func(i int) byte { return byte(i/997 + int(r.Uint32()&1)) })
	},
	"flat":  func(n int) []byte { return make([]byte, n) },
	"chart": func(n int) []byte { return fill(n, func(i int) byte { return byte(i % 600 / 50 * 17) }) },
}

func fill(n int, at func(i int) byte) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = at(i)
	}
	return b
}

func TestZlibReadsBack(t *testing.T) {
	p := packing.New()
	for name, kind := range kinds {
		for _, n := range []int{0, 1, 7, 12287, 12289, 65535, 65536, 300001} {
			data := kind(n)
			packed := p.AppendZlib([]byte("before"), data)
			if string(packed[:6]) != "before" || !bytes.Equal(inflate(t, packed[6:]), data) {
				t.Errorf("%s of %d bytes: other data", name, n)
			}
			if alone := packing.New().AppendZlib(nil, data); !bytes.Equal(alone, packed[6:]) {
				t.Errorf("%s of %d bytes depend on what was packed before", name, n)
			}
		}
	}
}

// Stored blocks of deflate have 5 bytes more (RFC 1951, 3.2.4), and at least 32
// KiB each here; header, end and checksum are 13.
func TestNeverMuchLargerThanStored(t *testing.T) {
	for _, n := range []int{1, 1000, 256 << 10, 1 << 20} {
		packed := packing.New().AppendZlib(nil, kinds["grain"](n))
		if most := n + 5*(n/32768+1) + 13; len(packed) > most {
			t.Errorf("%d bytes of grain take %d, stored they would take %d", n, len(packed), most)
		}
	}
}

// What each kind may take of its bytes. Its entropy bounds it from below; that a
// wrong choice breaks the bound was seen: codes alone leave 1/8 of what is flat,
// and repeats more than 0.3 of dither.
func TestChoice(t *testing.T) {
	for name, most := range map[string]float64{"grain": 1.001, "dither": 0.28, "flat": 0.002, "chart": 0.05} {
		data := kinds[name](256 << 10)
		if got := float64(len(packing.New().AppendZlib(nil, data))) / float64(len(data)); got > most {
			t.Errorf("%s takes %.4f of its bytes, expected at most %.4f", name, got, most)
		}
	}
}

// TestPiecesAreOnePNG packs the rows of a picture piece by piece; the standard
// library's PNG decoder undoes the filters and checks the checksum.
func TestPiecesAreOnePNG(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := packing.Form{PixelBytes: rapid.SampledFrom([]int{1, 2, 3, 6}).Draw(t, "pixel")}
		width := rapid.IntRange(1, 90).Draw(t, "width")
		f.RowBytes = width * f.PixelBytes
		height := rapid.IntRange(1, 60).Draw(t, "height")
		data := kinds[rapid.SampledFrom([]string{"grain", "dither", "flat", "chart"}).Draw(t, "kind")](height * f.RowBytes)
		p, sum := packing.New(), packing.Sum{}
		stream := packing.Header()
		for y := 0; y < height; {
			n := rapid.IntRange(1, height-y).Draw(t, "rows")
			var piece packing.Piece
			stream, piece = p.AppendRows(stream, data[y*f.RowBytes:(y+n)*f.RowBytes], f)
			sum.Add(piece)
			y += n
		}
		stream = append(stream, sum.Trailer()...)
		if got := unfilter(t, inflate(t, stream), f); !bytes.Equal(got, data) {
			t.Fatal("other rows")
		}
	})
}

// unfilter undoes the filters left, above and mean (ISO/IEC 15948:2004, table
// 9.1), one byte at a time.
func unfilter(t *rapid.T, data []byte, f packing.Form) []byte {
	var out []byte
	above := make([]byte, f.RowBytes)
	for ; len(data) > 0; data = data[1+f.RowBytes:] {
		row := bytes.Clone(data[1 : 1+f.RowBytes])
		for i := range row {
			left := 0
			if i >= f.PixelBytes {
				left = int(row[i-f.PixelBytes])
			}
			switch data[0] {
			case 1:
				row[i] += byte(left)
			case 2:
				row[i] += above[i]
			case 3:
				row[i] += byte((left + int(above[i])) / 2)
			default:
				t.Fatal("filter", data[0])
			}
		}
		out, above = append(out, row...), row
	}
	return out
}

// The checksum of joined pieces is that of the whole (RFC 1950), however long.
func TestSumJoins(t *testing.T) {
	data := fill(300000, func(i int) byte { return byte(255 - i%3) })
	for _, cut := range [][]int{{}, {0}, {1}, {65520, 65521, 65522, 131042}, {299999}} {
		var sum packing.Sum
		from := 0
		for _, to := range append(cut, len(data)) {
			sum.Add(packing.Piece{Bytes: to - from, Sum: adler32.Checksum(data[from:to])})
			from = to
		}
		end := sum.Trailer()
		end = end[len(end)-4:]
		if got, want := uint32(end[0])<<24|uint32(end[1])<<16|uint32(end[2])<<8|uint32(end[3]), adler32.Checksum(data); got != want {
			t.Errorf("cut at %v: %08x, want %08x", cut, got, want)
		}
	}
}

// TestDifference holds the lanes to TIFF 6.0, section 14, sample by sample.
func TestDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		channels := rapid.SampledFrom([]int{1, 3}).Draw(t, "channels")
		width := rapid.IntRange(1, 40).Draw(t, "width")
		size := rapid.IntRange(1, 2).Draw(t, "bytes")
		row := rapid.SliceOfN(rapid.Byte(), width*channels*size, width*channels*size).Draw(t, "row")
		sample := func(b []byte, i int) int {
			if size == 1 {
				return int(b[i])
			}
			return int(b[2*i]) | int(b[2*i+1])<<8
		}
		got := bytes.Clone(row)
		packing.Difference(got, channels, size)
		for i := range width * channels {
			want := sample(row, i)
			if i >= channels {
				want = (want - sample(row, i-channels)) & (1<<(8*size) - 1)
			}
			if sample(got, i) != want {
				t.Fatalf("sample %d is %d, want %d", i, sample(got, i), want)
			}
		}
	})
}

// MemoryBytes covers what a Packer keeps once it has packed in both ways.
func TestMemoryBytes(t *testing.T) {
	grain, flat := kinds["grain"](256<<10), kinds["flat"](256<<10)
	short := fill(256<<10, func(i int) byte { return byte(i*i>>7 ^ i>>4) })
	dst := make([]byte, 0, 300<<10)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	p := packing.New()
	p.AppendZlib(dst, grain)
	p.AppendZlib(dst, flat)
	p.AppendZlib(dst, short)
	runtime.ReadMemStats(&after)
	if got := after.TotalAlloc - before.TotalAlloc; got > packing.MemoryBytes || got < packing.MemoryBytes/2 {
		t.Errorf("a packer takes %d bytes, MemoryBytes says %d", got, packing.MemoryBytes)
	}
}
