package darkroom

import "math"

// blur spreads light sideways between ink and paper: a normal distribution
// with standard deviation sigma in pixels, rows first and then columns. Edges
// repeat. It does nothing for sigma 0.
func blur(p *Picture, sigma float64) {
	if sigma <= 0 {
		return
	}
	kernel := normalKernel(sigma)
	across := make([]float32, len(p.L))
	eachRow(p.Height, func(y int) {
		blurRow(across[y*p.Width:(y+1)*p.Width], p.L[y*p.Width:(y+1)*p.Width], kernel)
	})
	eachRow(p.Height, func(y int) { blurDown(p, across, y, kernel) })
}

// normalKernel returns the weights from the middle outwards; with both sides
// counted they add up to 1.
func normalKernel(sigma float64) []float32 {
	reach := int(math.Ceil(3 * sigma))
	weights := make([]float64, reach+1)
	total := 0.0
	for i := range weights {
		weights[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		total += 2 * weights[i]
	}
	total -= weights[0]
	kernel := make([]float32, reach+1)
	for i, w := range weights {
		kernel[i] = float32(w / total)
	}
	return kernel
}

func blurRow(out, in []float32, kernel []float32) {
	last := len(in) - 1
	for x := range out {
		sum := float32(kernel[0] * in[x])
		for i := 1; i < len(kernel); i++ {
			sum += float32(kernel[i] * (in[max(x-i, 0)] + in[min(x+i, last)]))
		}
		out[x] = sum
	}
}

func blurDown(p *Picture, in []float32, y int, kernel []float32) {
	row := func(y int) []float32 {
		y = min(max(y, 0), p.Height-1)
		return in[y*p.Width : (y+1)*p.Width]
	}
	out := p.L[y*p.Width : (y+1)*p.Width]
	for x, v := range row(y) {
		out[x] = float32(kernel[0] * v)
	}
	for i := 1; i < len(kernel); i++ {
		above, below := row(y-i), row(y+i)
		for x := range out {
			out[x] += float32(kernel[i] * (above[x] + below[x]))
		}
	}
}
