package darkroom

import "math"

// placement is how the sheet lies on the bed: from places on the bed to places
// on the print, in millimetres.
type placement struct {
	pixelMM                 float64 // of the scan
	bedWidthMM, bedHeightMM float64
	centreX, centreY        float64 // of the sheet, on the bed
	sin, cos                float64
	keptX, keptY            float64 // size after shrinking
	middleX, middleY        float64 // of the sheet, as the print counts
	curlX, curlY            *field  // over the sheet, from its top-left corner
	halfX, halfY            float64 // of the shrunk sheet
}

func newPlacement(p *ContactPrint, o ScannerOptions) placement {
	l := placement{pixelMM: 25.4 / o.PPI, keptX: 1 - o.ShrinkX, keptY: 1 - o.ShrinkY}
	l.sin, l.cos = math.Sincos(o.AngleDegrees * math.Pi / 180)
	l.halfX, l.halfY = p.WidthMM()*l.keptX/2, p.HeightMM()*l.keptY/2
	l.middleX, l.middleY = p.WidthMM()/2-p.BeyondMM, p.HeightMM()/2-p.BeyondMM
	l.bedWidthMM, l.bedHeightMM = o.BedWidthMM, o.BedHeightMM
	const around = 5
	if l.bedWidthMM == 0 {
		l.bedWidthMM = 2 * (math.Abs(l.halfX*l.cos) + math.Abs(l.halfY*l.sin) + around)
	}
	if l.bedHeightMM == 0 {
		l.bedHeightMM = 2 * (math.Abs(l.halfX*l.sin) + math.Abs(l.halfY*l.cos) + around)
	}
	l.centreX, l.centreY = l.bedWidthMM/2+o.OffsetXMM, l.bedHeightMM/2+o.OffsetYMM
	l.curlX, l.curlY = newCurl(o, 2*l.halfX, 2*l.halfY, 0), newCurl(o, 2*l.halfX, 2*l.halfY, 1)
	return l
}

// newCurl is the displacement along one axis: waves as long as the sheet or
// somewhat shorter, for paper that dried in the air.
func newCurl(o ScannerOptions, widthMM, heightMM float64, axis uint64) *field {
	if o.CurlMM == 0 {
		return nil
	}
	rng := Random(o.Seed, 3100+axis)
	long := max(widthMM, heightMM)
	var waves [3]wave
	for i := range waves {
		waves[i] = newWave(rng, between(rng, 0, math.Pi), long*between(rng, 0.7, 1.8), between(rng, 0.4, 1))
	}
	f := newField(widthMM, heightMM, 2, func(x, y float64) float64 {
		return waves[0].at(x, y) + waves[1].at(x, y) + waves[2].at(x, y)
	})
	f.level(0, o.CurlMM/math.Sqrt2)
	return f
}

// onPrint returns the place on the print that lies at a place on the bed. It
// may lie beside the paper.
func (l *placement) onPrint(bedX, bedY float64) (xMM, yMM float64) {
	dx, dy := bedX-l.centreX, bedY-l.centreY
	u, v := l.cos*dx+l.sin*dy, l.cos*dy-l.sin*dx
	if l.curlX != nil {
		cu, cv := l.curlX.at(u+l.halfX, v+l.halfY), l.curlY.at(u+l.halfX, v+l.halfY)
		u, v = u+cu, v+cv
	}
	return l.middleX + u/l.keptX, l.middleY + v/l.keptY
}

// onBed is the way back; curl is undone by repetition, which converges because
// it bends far less than one to one.
func (l *placement) onBed(xMM, yMM float64) (bedX, bedY float64) {
	u, v := (xMM-l.middleX)*l.keptX, (yMM-l.middleY)*l.keptY
	if l.curlX != nil {
		fixedU, fixedV := u, v
		for range 20 {
			cu, cv := l.curlX.at(u+l.halfX, v+l.halfY), l.curlY.at(u+l.halfX, v+l.halfY)
			u, v = fixedU-cu, fixedV-cv
		}
	}
	return l.centreX + l.cos*u - l.sin*v, l.centreY + l.sin*u + l.cos*v
}

// nodeEvery is the pixels between places worked out in full; those between lie
// on straight lines, within a thousandth of a millimetre.
const nodeEvery = 16

// row fills x and y with the places on the print, in its pixels counted from the
// middle of the first, that lie along a row of the scan.
func (l *placement) row(x, y []float32, row int, p *ContactPrint) {
	bedY := (float64(row) + 0.5) * l.pixelMM
	node := func(i int) (px, py float64) {
		px, py = p.pixel(l.onPrint((float64(i)+0.5)*l.pixelMM, bedY))
		return px - 0.5, py - 0.5
	}
	ax, ay := node(0)
	for first := 0; first < len(x); first += nodeEvery {
		bx, by := node(first + nodeEvery)
		for i := first; i < min(first+nodeEvery, len(x)); i++ {
			share := float64(i-first) / nodeEvery
			x[i] = float32(ax + float64(share*(bx-ax)))
			y[i] = float32(ay + float64(share*(by-ay)))
		}
		ax, ay = bx, by
	}
}
