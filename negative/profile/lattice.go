package profile

import (
	"encoding/binary"
	"math"
)

// lattice is a table tag taken apart (ICC.1:2010, 10.8 to 10.10): curves to the
// nodes of a grid, the grid's three values, and curves from these to the
// connection space.
type lattice struct {
	in     []curve
	sides  []int
	nodes  []byte      // of the grid, the last channel fastest
	word   int         // bytes of each value
	middle []curve     // between the grid and the matrix; nil without a matrix
	matrix [12]float64 // three rows of three, then three offsets
	outs   [3]curve
	labTop float64 // what a coded lightness of 1 stands for, in hundreds of L*
}

// readLattice reads a tag of one of the three types for a number of channels.
func readLattice(name string, tag []byte, channels int) (*lattice, error) {
	if len(tag) < 32 {
		return nil, broken("tag "+name, "has %d bytes, expected at least 32", len(tag))
	}
	switch kind(tag) {
	case "mft1", "mft2", "mAB ":
	default:
		return nil, unsupported("a table of type %q (tag %s)", kind(tag), name)
	}
	if in, out := int(tag[8]), int(tag[9]); in != channels || out != 3 {
		return nil, broken("tag "+name, "goes from %d to %d channels, expected %d to 3", in, out, channels)
	}
	t := &lattice{labTop: 1}
	if kind(tag) == "mAB " {
		return t, t.modular(name, tag)
	}
	return t, t.plain(name, tag)
}

// plain reads lut8Type and lut16Type. Their matrix is for XYZ as input and else
// has to be the identity (10.8, 10.9): it is not looked at.
func (t *lattice) plain(name string, tag []byte) error {
	if len(tag) < 52 {
		return broken("tag "+name, "has %d bytes, expected at least 52", len(tag))
	}
	at, entries, exits := int64(48), 256, 256
	t.word = 1
	if kind(tag) == "mft2" {
		at, t.word, t.labTop = 52, 2, 65535.0/65280 // the older coding, 6.3.4.2 and 10.8
		entries, exits = int(binary.BigEndian.Uint16(tag[48:])), int(binary.BigEndian.Uint16(tag[50:]))
	}
	channels := int(tag[8])
	for range channels {
		t.sides = append(t.sides, int(tag[10]))
	}
	size, err := t.gridSize(name)
	if err != nil {
		return err
	}
	if need := at + int64(t.word)*(int64(channels*entries)+int64(3*exits)) + size; entries < 2 || exits < 2 || int64(len(tag)) < need {
		return broken("tag "+name, "has %d bytes for curves of %d and %d points and a grid of %d a side, expected %d", len(tag), entries, exits, tag[10], need)
	}
	for range channels {
		t.in = append(t.in, t.points(tag[at:], entries))
		at += int64(entries * t.word)
	}
	t.nodes = tag[at : at+size]
	at += size
	for i := range t.outs {
		t.outs[i] = t.points(tag[at:], exits)
		at += int64(exits * t.word)
	}
	return nil
}

// points is a curve of n points.
func (t *lattice) points(b []byte, n int) curve {
	table := make([]float64, n)
	for i := range table {
		table[i] = t.number(b, i)
	}
	return func(v float64) float64 { return interpolate(table, v) }
}

// number is value i, 0 to 1.
func (t *lattice) number(b []byte, i int) float64 {
	if t.word == 1 {
		return float64(b[i]) / 255
	}
	return float64(binary.BigEndian.Uint16(b[2*i:])) / 65535
}

// gridSize returns the bytes of the grid.
func (t *lattice) gridSize(name string) (int64, error) {
	size := int64(3 * t.word)
	for _, side := range t.sides {
		if side < 2 {
			return 0, broken("tag "+name, "has a grid of %d nodes a side, expected at least 2", side)
		}
		if size *= int64(side); size > math.MaxInt32 {
			return 0, broken("tag "+name, "has a grid of more values than a profile holds")
		}
	}
	return size, nil
}

// modular reads lutAToBType: A curves and grid, M curves and matrix, B curves. The
// first two, and the second two, may be missing (10.10).
func (t *lattice) modular(name string, tag []byte) error {
	part := func(i int) int64 { return int64(binary.BigEndian.Uint32(tag[12+4*i:])) }
	b, matrix, m, grid, a := part(0), part(1), part(2), part(3), part(4)
	err := t.grid(name, tag, grid, a)
	if err != nil {
		return err
	}
	outs, err := curvesAt(name, tag, b, 3)
	if err != nil {
		return err
	}
	t.outs = [3]curve(outs)
	if m == 0 || matrix == 0 {
		return nil
	}
	return t.mixed(name, tag, m, matrix)
}

// grid reads the grid of a lutAToBType (10.10.3) and the curves before it.
func (t *lattice) grid(name string, tag []byte, at, curves int64) (err error) {
	channels := int(tag[8])
	if at == 0 && channels == 3 {
		t.straight()
		return nil
	}
	if at == 0 || at+20 > int64(len(tag)) {
		return broken("tag "+name, "has its grid at %d of its %d bytes", at, len(tag))
	}
	for _, side := range tag[at : at+int64(channels)] {
		t.sides = append(t.sides, int(side))
	}
	if t.word = int(tag[at+16]); t.word != 1 && t.word != 2 {
		return broken("tag "+name, "has grid values of %d bytes, expected 1 or 2", t.word)
	}
	size, err := t.gridSize(name)
	if err != nil {
		return err
	}
	if int64(len(tag)) < at+20+size {
		return broken("tag "+name, "has %d bytes, expected %d for its grid", len(tag), at+20+size)
	}
	t.nodes = tag[at+20 : at+20+size]
	t.in, err = curvesAt(name, tag, curves, channels)
	return err
}

// straight is the grid that leaves three channels as they are.
func (t *lattice) straight() {
	t.sides, t.word = []int{2, 2, 2}, 1
	t.in = []curve{identity, identity, identity}
	for i := range 8 {
		t.nodes = append(t.nodes, byte(i>>2*255), byte(i>>1&1*255), byte(i&1*255))
	}
}

// mixed reads M curves and the matrix (10.10.5).
func (t *lattice) mixed(name string, tag []byte, m, at int64) (err error) {
	if t.middle, err = curvesAt(name, tag, m, 3); err != nil {
		return err
	}
	if int64(len(tag)) < at+48 {
		return broken("tag "+name, "has its matrix at %d, beyond its %d bytes", at, len(tag))
	}
	for i := range t.matrix {
		t.matrix[i] = fixed(tag[at+int64(4*i):])
	}
	return nil
}

// curvesAt reads n curves that follow each other, each padded to four bytes.
func curvesAt(name string, tag []byte, at int64, n int) ([]curve, error) {
	var out []curve
	for range n {
		if at+12 > int64(len(tag)) {
			return nil, broken("tag "+name, "has curves at %d, beyond its %d bytes", at, len(tag))
		}
		c, err := readCurve(name, tag[at:])
		if err != nil {
			return nil, err
		}
		out = append(out, c)
		at += int64(padded(curveBytes(tag[at:])))
	}
	return out, nil
}

// pcsChannel is the channel of the connection space that tells how light a colour
// is: L* or Y.
func pcsChannel(lab bool) int {
	if lab {
		return 0
	}
	return 1
}

// terms returns the tables that add up to what the last curve takes.
func (t *lattice) terms(lab bool) ([]lutTerm, float32) {
	row := pcsChannel(lab)
	if t.middle == nil {
		return []lutTerm{{value: t.plane(row)}}, 0
	}
	var out []lutTerm
	for j, c := range t.middle {
		if weight := t.matrix[3*row+j]; weight != 0 {
			out = append(out, lutTerm{t.plane(j), bake(c, weight)})
		}
	}
	if out == nil { // a matrix that makes one lightness of all
		out = []lutTerm{{t.plane(row), make([]float32, codes)}}
	}
	return out, float32(t.matrix[9+row])
}

// plane is one of the three values at each node.
func (t *lattice) plane(channel int) []float32 {
	out := make([]float32, len(t.nodes)/(3*t.word))
	for i := range out {
		out[i] = float32(t.number(t.nodes, 3*i+channel))
	}
	return out
}
