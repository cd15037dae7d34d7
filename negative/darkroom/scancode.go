package darkroom

import "math"

// encoder turns luminance into the codes of a scan file.
type encoder struct {
	o     ScannerOptions
	hue   []linearRGB
	codes []float32 // code 0 to 65535 at even steps of the square root of light
}

const codeSteps = 4096

func newEncoder(hue Hue, o ScannerOptions) encoder {
	e := encoder{o: o, hue: hue.table(), codes: make([]float32, codeSteps+1)}
	for i := range e.codes {
		root := float64(i) / codeSteps
		e.codes[i] = float32(scanCode(root*root, o.Linear))
	}
	return e
}

// scanCode is the code, 0 to 65535, of light from 0 to 1: sRGB's (IEC
// 61966-2-1:1999, the encoding function) or the light itself.
func scanCode(light float64, linear bool) float64 {
	switch {
	case linear:
		return 65535 * light
	case light <= 0.0031308:
		return 65535 * 12.92 * light
	default:
		return 65535 * (1.055*math.Pow(light, 1/2.4) - 0.055)
	}
}

// row fills dst with a row whose luminances are y.
func (e *encoder) row(dst []uint16, y []float32, row int) {
	for x, v := range y {
		if e.o.Channels == 1 {
			dst[x] = e.code(v, row, x)
			continue
		}
		rgb := e.coloured(v)
		for c := range 3 {
			dst[3*x+c] = e.code(rgb[c], row, 3*x+c)
		}
	}
}

// coloured is linear sRGB of a luminance. Light past white, which uneven
// lighting makes, keeps white's colour.
func (e *encoder) coloured(y float32) linearRGB {
	at := float32(math.Sqrt(float64(max(y, 0)))) * hueSteps
	if at >= hueSteps {
		white := e.hue[hueSteps]
		return linearRGB{y * white[0], y * white[1], y * white[2]}
	}
	i := int(at)
	share := at - float32(i)
	lo, hi := &e.hue[i], &e.hue[i+1]
	return linearRGB{lo[0] + share*(hi[0]-lo[0]), lo[1] + share*(hi[1]-lo[1]), lo[2] + share*(hi[2]-lo[2])}
}

// code adds the sensor's noise, clips and encodes. Most of the noise is that of
// counting light: it grows as the square root of what falls.
func (e *encoder) code(light float32, row, sample int) uint16 {
	v := float64(light)
	if e.o.Noise != 0 {
		n := mottle{seed: e.o.Seed ^ 0x5ca77e12}.knot(sample, row)
		v += e.o.Noise * math.Sqrt(0.02+0.98*max(v, 0)) * n
	}
	v = min(max((v-e.o.Black)/(e.o.White-e.o.Black), 0), 1)
	at := math.Sqrt(v) * codeSteps
	i := min(int(at), codeSteps-1)
	code := float64(e.codes[i]) + (at-float64(i))*float64(e.codes[i+1]-e.codes[i])
	if e.o.Bits == 8 {
		return uint16(code/257+0.5) * 257
	}
	return uint16(code + 0.5)
}
