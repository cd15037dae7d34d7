package tone

// Rows are mixed here, and samples of a row. Each product is rounded to float32
// before it is added, so that no processor fuses the two, and sums run from the
// first sample to the last: all give the same bits. Blocks of four and eight are
// written out, for Go's compiler does not unroll.

// across resamples one row: len(dst) results from a whole source row.
func (a *axis) across(dst, src []float32) {
	if a.plain && len(dst) > 0 {
		copy(dst, src[a.taps[0].first:])
		return
	}
	all := a.taps[:len(dst)]
	for i := range all {
		t := &all[i]
		switch row := src[t.first:]; len(t.weights) {
		case 8: // reducing by up to 4/3
			w, v := (*[8]float32)(t.weights), (*[8]float32)(row)
			sum := float32(w[0]*v[0]) + float32(w[1]*v[1])
			sum += float32(w[2] * v[2])
			sum += float32(w[3] * v[3])
			sum += float32(w[4] * v[4])
			sum += float32(w[5] * v[5])
			sum += float32(w[6] * v[6])
			dst[i] = sum + float32(w[7]*v[7])
		case 6: // enlarging
			w, v := (*[6]float32)(t.weights), (*[6]float32)(row)
			sum := float32(w[0]*v[0]) + float32(w[1]*v[1])
			sum += float32(w[2] * v[2])
			sum += float32(w[3] * v[3])
			sum += float32(w[4] * v[4])
			dst[i] = sum + float32(w[5]*v[5])
		default:
			dst[i] = dot(t.weights, row)
		}
	}
}

// dot is the sum of weights times the first samples of a row.
func dot(weights, row []float32) float32 {
	sum := float32(0)
	row = row[:len(weights)]
	for k, w := range weights {
		sum += float32(w * row[k])
	}
	return sum
}

// down makes result row i from source rows, held as rows[j-base] for source row
// j, and clamps what the kernel overshoots to the range of luminance, 0..1.
func (a *axis) down(dst []float32, i int, rows [][]float32, base int) {
	t := &a.taps[i]
	rows = rows[t.first-base:]
	if len(t.weights) == 1 {
		copy(dst, rows[0])
	} else {
		mix(dst, t.weights, rows)
	}
	for x, v := range dst {
		if v < 0 {
			dst[x] = 0
		} else if v > 1 {
			dst[x] = 1
		}
	}
}

// mix writes the sum of weights times rows.
func mix(dst, weights []float32, rows [][]float32) {
	done := 0
	if len(weights) >= 4 {
		firstFour(dst, (*[4]float32)(weights), (*[4][]float32)(rows))
		done = 4
	} else {
		clear(dst)
	}
	for ; len(weights)-done >= 4; done += 4 {
		addFour(dst, (*[4]float32)(weights[done:]), (*[4][]float32)(rows[done:]))
	}
	for ; len(weights)-done >= 2; done += 2 {
		addTwo(dst, (*[2]float32)(weights[done:]), (*[2][]float32)(rows[done:]))
	}
	for ; done < len(weights); done++ {
		addScaled(dst, rows[done], weights[done])
	}
}

func firstFour(dst []float32, w *[4]float32, rows *[4][]float32) {
	w0, w1, w2, w3 := w[0], w[1], w[2], w[3]
	n := len(dst)
	a, b, c, d := rows[0][:n], rows[1][:n], rows[2][:n], rows[3][:n]
	for x := range dst {
		sum := float32(w0 * a[x])
		sum += float32(w1 * b[x])
		sum += float32(w2 * c[x])
		dst[x] = sum + float32(w3*d[x])
	}
}

func addFour(dst []float32, w *[4]float32, rows *[4][]float32) {
	w0, w1, w2, w3 := w[0], w[1], w[2], w[3]
	n := len(dst)
	a, b, c, d := rows[0][:n], rows[1][:n], rows[2][:n], rows[3][:n]
	for x, sum := range dst {
		sum += float32(w0 * a[x])
		sum += float32(w1 * b[x])
		sum += float32(w2 * c[x])
		dst[x] = sum + float32(w3*d[x])
	}
}

func addTwo(dst []float32, w *[2]float32, rows *[2][]float32) {
	w0, w1, n := w[0], w[1], len(dst)
	a, b := rows[0][:n], rows[1][:n]
	for x, sum := range dst {
		sum += float32(w0 * a[x])
		dst[x] = sum + float32(w1*b[x])
	}
}

func addScaled(dst, src []float32, w float32) {
	src = src[:len(dst)]
	for x, v := range src {
		dst[x] += float32(w * v)
	}
}
