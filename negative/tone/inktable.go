package tone

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// Curve turns a picture's tone into what the printer is sent. A calibration's
// ink curve is one.
type Curve interface {
	// Ink returns the film ink, 0 (clear) to 100 (the full ink colour), for a
	// picture tone, L* 0 to 100. It must be monotone and without jumps.
	Ink(tone float64) float64
	// Device returns the printer RGB for a film ink, each 0 to 1.
	Device(ink float64) [3]float64
	// Neutral reports whether the three printer values are equal all along the
	// ramp, so that a grey file says it all.
	Neutral() bool
}

// The table has 2^16 cells of 0.0015 L*; a cell in which the curve bends gets a
// table of its own, 256 times finer.
const (
	curveBits = 16
	fineBits  = 8
	codeBits  = 8 // fraction bits of a printer code in the table
	codeFull  = 65535 << codeBits
	bent      = 1 << 31 // mark on a cell that has a finer table
	// bendLimit is the largest distance, in printer codes of 65535, between the
	// middle of a cell and the curve. A kink anywhere in a cell errs by less
	// than twice what its middle shows, hence half of a code at worst.
	bendLimit = 0.25
	// jumpLimit, for cells of 0.000006 L*, tells a jump of the curve from an end
	// that starts vertically, as a square root does.
	jumpLimit = 64
)

// InkTable is a Curve baked for pixels: printer codes of 16 bits at 65537 steps of
// tone or more, with integers in between, so that each processor gives the same
// file. It is itself a Curve (the one it was baked from). It is safe for
// concurrent use; bake once for a folder of pictures.
type InkTable struct {
	Curve
	tables   []table
	steepest float64
}

// table is one printer channel over tone: the codes at the cells' borders in
// 16.8 fixed point, some marked bent, and the finer codes of those cells.
type table struct {
	codes []uint32
	fine  map[uint32][]uint32
}

// Bake tabulates a curve. Every tone then comes out within 1 of 65535 of the
// curve itself, wherever its film ink moves by less than a quarter of 65535 in
// 0.000003 L*. It fails with *fault.Error if the curve gives a value that is
// not a number or outside its range, or jumps.
func Bake(c Curve) (*InkTable, error) {
	if f, ok := c.(*InkTable); ok {
		return f, nil
	}
	channels := 3
	if c.Neutral() {
		channels = 1
	}
	borders, middles, err := sample(c, 0, 100, 1<<curveBits)
	if err != nil {
		return nil, err
	}
	f := &InkTable{Curve: c}
	for ch := range channels {
		t, err := tabulate(c, ch, borders, middles)
		if err != nil {
			return nil, err
		}
		f.tables = append(f.tables, t)
		f.steepest = max(f.steepest, steepest(t.codes))
	}
	return f, nil
}

// Channels returns 1 for a neutral ramp, 3 for any other.
func (f *InkTable) Channels() int { return len(f.tables) }

// sample evaluates the curve at the cells+1 borders and the cells middles of a
// range of tone.
func sample(c Curve, from, to float64, cells int) (borders, middles [][3]float64, err error) {
	borders, middles = make([][3]float64, 0, cells+1), make([][3]float64, 0, cells)
	for i := 0; i <= 2*cells; i++ {
		v, err := deviceAt(c, from+(to-from)*float64(i)/float64(2*cells))
		if err != nil {
			return nil, nil, err
		}
		if i%2 == 0 {
			borders = append(borders, v)
		} else {
			middles = append(middles, v)
		}
	}
	return borders, middles, nil
}

// tabulate makes one channel's table from the samples of the whole curve.
func tabulate(c Curve, ch int, borders, middles [][3]float64) (table, error) {
	codes, bends := fix(ch, borders, middles, bendLimit)
	t := table{codes: codes, fine: map[uint32][]uint32{}}
	for _, cell := range bends {
		from, to := float64(cell)*100/(1<<curveBits), float64(cell+1)*100/(1<<curveBits)
		b, m, err := sample(c, from, to, 1<<fineBits)
		if err != nil {
			return t, err
		}
		fine, jumps := fix(ch, b, m, jumpLimit)
		if len(jumps) > 0 {
			return t, fault.New("", fmt.Sprintf("curve, tone %.4g", from),
				"the curve jumps: film ink is not continuous in tone", "make the calibration again")
		}
		t.fine[uint32(cell)] = fine
		t.codes[cell] |= bent
	}
	return t, nil
}

// fix returns the codes at the borders in fixed point, and the cells whose
// middle is more than limit codes from the straight line between them.
func fix(ch int, borders, middles [][3]float64, limit float64) (codes []uint32, bends []int) {
	codes = make([]uint32, len(borders))
	for i, v := range borders {
		codes[i] = uint32(math.Round(v[ch] * codeFull))
	}
	for i, v := range middles {
		line := (borders[i][ch] + borders[i+1][ch]) / 2
		if math.Abs(line-v[ch])*65535 > limit {
			bends = append(bends, i)
		}
	}
	return codes, bends
}

// deviceAt evaluates the curve itself, and checks what it gives.
func deviceAt(c Curve, tone float64) ([3]float64, error) {
	ink := c.Ink(tone)
	if !(ink >= 0 && ink <= 100) {
		return [3]float64{}, fault.New("", fmt.Sprintf("curve, tone %.4g", tone),
			fmt.Sprintf("film ink is %g, expected 0 to 100", ink), "make the calibration again")
	}
	v := c.Device(ink)
	for _, x := range v {
		if !(x >= 0 && x <= 1) {
			return v, fault.New("", fmt.Sprintf("ink ramp, ink %.4g %%", ink),
				fmt.Sprintf("printer value is %g, expected 0 to 1", x), "check the ink colour and the ink blend")
		}
	}
	return v, nil
}

// code returns the printer code (0..65535) for a tone in units of 100/2^28 L*.
func (t *table) code(tone uint32) uint16 {
	const shift = toneBits - curveBits
	cell, part := tone>>shift, tone&(1<<shift-1)
	lo := t.codes[cell]
	if lo&bent != 0 {
		const finer = shift - fineBits
		fine := t.fine[cell][part>>finer:]
		return between(fine[0], fine[min(1, len(fine)-1)], part&(1<<finer-1), finer)
	}
	return between(lo, t.codes[min(cell+1, 1<<curveBits)]&^bent, part, shift)
}

// between returns the code part/2^shift of the way from lo to hi, rounded.
func between(lo, hi, part uint32, shift uint) uint16 {
	v := int64(lo) + (int64(hi)-int64(lo))*int64(part)>>shift
	return uint16((v + 1<<(codeBits-1)) >> codeBits)
}

// Encode writes the printer codes for one row of luminance: len(y) pixels of
// f.Channels() interleaved samples of 16 bits. invert asks for a positive: tone
// becomes 100 - tone before the curve. dst must hold len(y)*f.Channels().
func (f *InkTable) Encode(dst []uint16, y []float32, invert bool) {
	if f.Channels() == 1 {
		f.encodeGrey(dst, y, invert)
		return
	}
	for i, v := range y {
		t := toneFor(v, invert)
		d := dst[3*i : 3*i+3 : 3*i+3]
		d[0], d[1], d[2] = f.tables[0].code(t), f.tables[1].code(t), f.tables[2].code(t)
	}
}

func (f *InkTable) encodeGrey(dst []uint16, y []float32, invert bool) {
	dst = dst[:len(y)]
	grey := &f.tables[0]
	for i, v := range y {
		dst[i] = grey.code(toneFor(v, invert))
	}
}

func toneFor(y float32, invert bool) uint32 {
	t := toneOf(y)
	if invert {
		return toneFull - t
	}
	return t
}

// Codes returns the printer codes (16 bits, f.Channels() of them) for a tone,
// L* 0 to 100, exactly as a pixel of that tone would get them.
func (f *InkTable) Codes(tone float64) []uint16 {
	t := uint32(math.Round(min(max(tone, 0), 100) / 100 * toneFull))
	out := make([]uint16, f.Channels())
	for ch := range out {
		out[ch] = f.tables[ch].code(t)
	}
	return out
}

// InkCodes returns the printer codes for a film ink, 0 to 100, which need not
// be one that the curve uses: margins are clear film or full ink whatever the
// curve does.
func (f *InkTable) InkCodes(ink float64) []uint16 {
	v := f.Device(min(max(ink, 0), 100))
	out := make([]uint16, f.Channels())
	for ch := range out {
		out[ch] = uint16(math.Round(v[ch] * 65535))
	}
	return out
}

// Steepest returns the curve's largest slope anywhere, in parts of the printer's
// range a part of the tone range, measured over half an L*: 1 is a straight
// line from end to end.
func (f *InkTable) Steepest() float64 { return f.steepest }

func steepest(codes []uint32) float64 {
	const spans = 200
	n, widest := len(codes)-1, 0.0
	for s := range spans {
		lo, hi := codes[s*n/spans]&^bent, codes[(s+1)*n/spans]&^bent
		widest = max(widest, math.Abs(float64(hi)-float64(lo))/codeFull*spans)
	}
	return widest
}
