package tone

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// The printer codes of a channel stand in a table over luminance, whose cells
// are joined by straight lines. A cell in which the curve bends is cut into
// cells of its own, and one of those in which it still bends is written out for
// each luminance that a float32 can tell.
const (
	cellBits  = 14 // steps in a cell: 0.2 % of the luminance, 0.08 L* at white
	fineBits  = 7  // steps in a cell of a cell
	fineCells = 1 << (cellBits - fineBits)
	cells     = lumaSteps >> cellBits

	codeBits = 8 // fraction bits of a printer code in the table
	codeFull = 65535 << codeBits
	codeHalf = 1 << (codeBits - 1)
	// bent, as a cell's rise, says that its start is the number of its finer
	// table. No true rise comes near it.
	bent = math.MinInt32
	// bendLimit is how far, in printer codes of 65535, a cell may be off the curve
	// at its two inner thirds. A kink between them errs by half as much again at
	// worst, so that rounding to a whole code stays within 1.
	bendLimit = 0.3
	// jumpLimit, in printer codes from one luminance to the next, tells a jump of
	// the curve from an end that starts vertically, as a square root does.
	jumpLimit = 64
)

// cell is a straight piece: the code at its start and what it rises by to the
// next, in 16.8 fixed point.
type cell struct{ start, rise int32 }

// at returns the code part/2^bits of the way through a straight cell, rounded.
func (c cell) at(part uint32, bits uint) uint16 {
	return uint16((int64(c.start) + int64(c.rise)*int64(part)>>bits + codeHalf) >> codeBits)
}

// inkCells are the tables of all printer channels over luminance.
type inkCells struct {
	channels int
	cells    []cell            // channel after channel: cells+1 each, the last one for white
	fine     [][fineCells]cell // of bent cells
	exact    [][1 << fineBits]uint16
}

// table returns the cells of a channel.
func (k *inkCells) table(ch int) *[cells + 1]cell {
	return (*[cells + 1]cell)(k.cells[ch*(cells+1):])
}

// code returns a channel's printer code at a step, in any cell.
func (k *inkCells) code(ch int, step uint32) uint16 {
	c := k.table(ch)[step>>cellBits]
	if c.rise != bent {
		return c.at(step&(1<<cellBits-1), cellBits)
	}
	c = k.fine[c.start][step>>fineBits&(fineCells-1)]
	if c.rise != bent {
		return c.at(step&(1<<fineBits-1), fineBits)
	}
	return k.exact[c.start][step&(1<<fineBits-1)]
}

// stepCurve returns the printer values, 0 to 1, at a step of luminance.
type stepCurve func(step uint32) ([3]float64, error)

// newInkCells tabulates a curve. It fails as the curve does, or where it jumps.
func newInkCells(curve stepCurve, channels int) (*inkCells, error) {
	k := &inkCells{channels: channels, cells: make([]cell, channels*(cells+1))}
	from, err := curve(0)
	for i := uint32(0); i < cells && err == nil; i++ {
		from, err = k.bake(curve, i, from)
	}
	if err != nil {
		return nil, err
	}
	for ch := range channels {
		k.table(ch)[cells] = cell{start: fixed(from[ch])}
	}
	return k, nil
}

// bake fills cell i of all channels and returns the curve at its end.
func (k *inkCells) bake(curve stepCurve, i uint32, from [3]float64) (to [3]float64, err error) {
	p := piece{first: i << cellBits, bits: cellBits, from: from}
	if err := p.sample(curve); err != nil {
		return to, err
	}
	for ch := range k.channels {
		c := p.straight(ch)
		if p.bends(c, ch) {
			c = cell{int32(len(k.fine)), bent}
			if err := k.bakeFine(curve, ch, i<<cellBits, from); err != nil {
				return to, err
			}
		}
		k.table(ch)[i] = c
	}
	return p.to, nil
}

// bakeFine cuts the cell from a step on into fine ones, for one channel.
func (k *inkCells) bakeFine(curve stepCurve, ch int, first uint32, from [3]float64) error {
	var fine [fineCells]cell
	for i := range fine {
		p := piece{first: first + uint32(i)<<fineBits, bits: fineBits, from: from}
		if err := p.sample(curve); err != nil {
			return err
		}
		fine[i] = p.straight(ch)
		if p.bends(fine[i], ch) {
			fine[i] = cell{int32(len(k.exact)), bent}
			if err := k.bakeExact(curve, ch, p.first, p.to); err != nil {
				return err
			}
		}
		from = p.to
	}
	k.fine = append(k.fine, fine)
	return nil
}

// bakeExact writes out the fine cell from a step on; to is the curve at its end.
func (k *inkCells) bakeExact(curve stepCurve, ch int, first uint32, to [3]float64) error {
	var exact [1 << fineBits]uint16
	last := int32(-1)
	for i := range len(exact) + 1 {
		v := to
		if i < len(exact) {
			var err error
			if v, err = curve(first + uint32(i)); err != nil {
				return err
			}
		}
		code := (fixed(v[ch]) + codeHalf) >> codeBits
		if last >= 0 && max(code-last, last-code) > jumpLimit {
			return fault.New("", fmt.Sprintf("curve, tone %.4g", stepTone(first+uint32(i))),
				"the curve jumps: film ink is not continuous in tone", "make the calibration again")
		}
		if last = code; i < len(exact) {
			exact[i] = uint16(code)
		}
	}
	k.exact = append(k.exact, exact)
	return nil
}

// piece is the curve over 2^bits steps from first on: at both ends and at the
// inner thirds.
type piece struct {
	first    uint32
	bits     uint
	from, to [3]float64
	inner    [2][3]float64
}

// thirds are the steps of the piece at which it is held against the curve.
func (p *piece) thirds() [2]uint32 {
	width := uint32(1) << p.bits
	return [2]uint32{width / 3, 2 * width / 3}
}

// sample evaluates the curve but at the start, which is known.
func (p *piece) sample(curve stepCurve) (err error) {
	for i, part := range p.thirds() {
		if p.inner[i], err = curve(p.first + part); err != nil {
			return err
		}
	}
	p.to, err = curve(p.first + 1<<p.bits)
	return err
}

func (p *piece) straight(ch int) cell {
	start := fixed(p.from[ch])
	return cell{start, fixed(p.to[ch]) - start}
}

// bends says whether the curve leaves the straight cell.
func (p *piece) bends(c cell, ch int) bool {
	for i, part := range p.thirds() {
		line := float64(c.start) + float64(c.rise)*float64(part)/float64(uint32(1)<<p.bits)
		if math.Abs(line-float64(p.inner[i][ch]*codeFull)) > bendLimit*(1<<codeBits) {
			return true
		}
	}
	return false
}

// fixed returns a printer value in 16.8 fixed point.
func fixed(v float64) int32 { return int32(math.Round(v * codeFull)) }
