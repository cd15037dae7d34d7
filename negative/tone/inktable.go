package tone

import (
	"fmt"
	"math"
	"sync"

	"actinic/process/density"
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

// InkTable is a Curve baked for pixels: printer codes of 16 bits straight from
// luminance, with integers in between, so that each processor gives the same
// file. It is itself a Curve (the one it was baked from). It is safe for
// concurrent use; bake once for a folder of pictures.
type InkTable struct {
	Curve
	channels int
	forward  *inkCells
	backward func() *inkCells // of positives, made when first asked for
	steepest float64
}

// Bake tabulates a curve: every luminance then comes out within 1 of 65535 of
// the curve itself. It takes 37 kB a channel, and more
// where the curve bends. It fails with *fault.Error if the
// curve gives a value that is not a number or outside its range, or jumps.
func Bake(c Curve) (*InkTable, error) {
	if f, ok := c.(*InkTable); ok {
		return f, nil
	}
	f := &InkTable{Curve: c, channels: 3}
	if c.Neutral() {
		f.channels = 1
	}
	var err error
	if f.steepest, err = steepest(c); err != nil {
		return nil, err
	}
	if f.forward, err = newInkCells(forward(c), f.channels); err != nil {
		return nil, err
	}
	f.backward = sync.OnceValue(func() *inkCells {
		k, err := newInkCells(backward(c), f.channels)
		if err != nil { // the curve was sound all along its length
			panic("tone: a curve gives two values for one tone: " + err.Error())
		}
		return k
	})
	return f, nil
}

// forward is the curve over luminance.
func forward(c Curve) stepCurve {
	return func(step uint32) ([3]float64, error) { return deviceAt(c, stepTone(step)) }
}

// backward is the curve of a positive: tone becomes 100 - tone.
func backward(c Curve) stepCurve {
	return func(step uint32) ([3]float64, error) { return deviceAt(c, 100-stepTone(step)) }
}

// Channels returns 1 for a neutral ramp, 3 for any other.
func (f *InkTable) Channels() int { return f.channels }

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

// cellsFor returns the tables of a negative, or of a positive.
func (f *InkTable) cellsFor(positive bool) *inkCells {
	if positive {
		return f.backward()
	}
	return f.forward
}

// Encode writes the printer codes for one row of luminance: len(y) pixels of
// f.Channels() interleaved samples of 16 bits. invert asks for a positive: tone
// becomes 100 - tone before the curve. dst must hold len(y)*f.Channels().
func (f *InkTable) Encode(dst []uint16, y []float32, invert bool) {
	f.cellsFor(invert).encode(dst, 0, f.channels, y)
}

// encode writes the codes of pixels: the first at dst[at], each further one step
// samples on.
func (k *inkCells) encode(dst []uint16, at, step int, y []float32) {
	if k.channels == 1 {
		k.encodeGrey(dst, at, step, y)
	} else {
		k.encodeColour(dst, at, step, y)
	}
}

func (k *inkCells) encodeGrey(dst []uint16, at, step int, y []float32) {
	table := k.table(0)
	for _, v := range y {
		luma := lumaStep(v)
		if luma >= lumaWhite {
			luma = endStep(v)
		}
		c := table[luma>>cellBits]
		if c.rise == bent {
			dst[at] = k.code(0, luma)
		} else {
			dst[at] = c.at(luma&(1<<cellBits-1), cellBits)
		}
		at += step
	}
}

func (k *inkCells) encodeColour(dst []uint16, at, step int, y []float32) {
	red, green, blue := k.table(0), k.table(1), k.table(2)
	for _, v := range y {
		luma := lumaStep(v)
		if luma >= lumaWhite {
			luma = endStep(v)
		}
		i, part, d := luma>>cellBits, luma&(1<<cellBits-1), dst[at:at+3:at+3]
		r, g, b := red[i], green[i], blue[i]
		if r.rise == bent || g.rise == bent || b.rise == bent {
			d[0], d[1], d[2] = k.code(0, luma), k.code(1, luma), k.code(2, luma)
		} else {
			d[0], d[1], d[2] = r.at(part, cellBits), g.at(part, cellBits), b.at(part, cellBits)
		}
		at += step
	}
}

// Codes returns the printer codes (16 bits, f.Channels() of them) for a tone,
// L* 0 to 100, exactly as a pixel of that tone would get them.
func (f *InkTable) Codes(tone float64) []uint16 {
	y := float32(density.Lightness(min(max(tone, 0), 100)).Reflectance())
	out := make([]uint16, f.channels)
	f.Encode(out, []float32{y}, false)
	return out
}

// InkCodes returns the printer codes for a film ink, 0 to 100, which need not
// be one that the curve uses: margins are clear film or full ink whatever the
// curve does.
func (f *InkTable) InkCodes(ink float64) []uint16 {
	v := f.Device(min(max(ink, 0), 100))
	out := make([]uint16, f.channels)
	for ch := range out {
		out[ch] = uint16(math.Round(v[ch] * 65535))
	}
	return out
}

// Steepest returns the curve's largest slope anywhere, in parts of the printer's
// range a part of the tone range, measured over half an L*: 1 is a straight
// line from end to end.
func (f *InkTable) Steepest() float64 { return f.steepest }

func steepest(c Curve) (float64, error) {
	const spans = 200
	widest := 0.0
	last, err := deviceAt(c, 0)
	for s := 1; s <= spans && err == nil; s++ {
		var v [3]float64
		v, err = deviceAt(c, 100*float64(s)/spans)
		for ch := range v {
			widest = max(widest, math.Abs(v[ch]-last[ch])*spans)
		}
		last = v
	}
	return widest, err
}
