package tone

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// layout says which part of the upright picture lands where on the print, all
// in pixels. The print is what is made of the picture, without edge and marks.
type layout struct {
	ppi           float64
	width, height int        // of the print, or of the part of it that is kept
	picture       rect       // where the picture lies in the whole print, padding excluded
	window        [4]float64 // x0, y0, x1, y1 of the picture that is used, in its pixels
	part          rect       // what is kept of the whole print
	notices       []string
}

// newLayout places an upright picture of width x height pixels.
func newLayout(width, height int, own float64, o *Options) (*layout, error) {
	l := &layout{ppi: o.Resolution(own), window: [4]float64{0, 0, float64(width), float64(height)}}
	whole := rect{0, 0, width, height}
	l.picture = whole
	if o.WidthMM > 0 || o.HeightMM > 0 {
		var err error
		if whole, err = l.scale(width, height, o); err != nil {
			return nil, err
		}
	}
	l.part = whole
	if o.Part != nil {
		if err := l.keep(o.Part, whole); err != nil {
			return nil, err
		}
	}
	l.width, l.height = l.part.width(), l.part.height()
	return l, nil
}

// sameShape is how far two shapes may differ and still count as one: 8 x 10 in
// written as 203 x 254 mm is 0.1 % off. What is over is cut.
const sameShape = 0.004

// scale sets the picture and the window for a print of the size asked for, and
// returns the whole print's grid.
func (l *layout) scale(width, height int, o *Options) (rect, error) {
	w, h, ratio, err := l.target(width, height, o)
	if err != nil {
		return rect{}, err
	}
	switch {
	case o.Fit == FitCrop || math.Abs(math.Log(ratio)) < sameShape:
		l.picture = rect{0, 0, w, h}
		l.cut(ratio)
	default:
		pw, ph := inside(w, h, ratio)
		if o.Fit == FitInside {
			l.noteShape(pw, ph, w, h)
			w, h = pw, ph
		}
		x, y := (w-pw)/2, (h-ph)/2
		l.picture = rect{x, y, x + pw, y + ph}
	}
	l.noteEnlarged()
	return rect{0, 0, w, h}, nil
}

// target returns the size in pixels, a missing side from the picture's shape,
// and how much wider the size is than that shape: of the size in millimetres,
// so that the rounding to pixels cuts nothing.
func (l *layout) target(width, height int, o *Options) (w, h int, ratio float64, err error) {
	wMM, hMM := o.WidthMM, o.HeightMM
	if hMM == 0 {
		hMM = wMM * float64(height) / float64(width)
	}
	if wMM == 0 {
		wMM = hMM * float64(width) / float64(height)
	}
	w, h = pixels(wMM, l.ppi), pixels(hMM, l.ppi)
	if w < 1 || h < 1 || w > maxSide || h > maxSide {
		return 0, 0, 0, fault.New("", "--size", fmt.Sprintf("%g x %g mm at %g ppi is %d x %d pixels, expected 1 to %d each way",
			wMM, hMM, l.ppi, w, h, maxSide), "check the unit of the size and the --ppi")
	}
	return w, h, wMM / float64(width) / (hMM / float64(height)), nil
}

// inside returns the largest picture inside w x h, which is ratio times wider
// than the picture's shape.
func inside(w, h int, ratio float64) (int, int) {
	if ratio > 1 {
		return max(int(math.Round(float64(w)/ratio)), 1), h
	}
	return w, max(int(math.Round(float64(h)*ratio)), 1)
}

// cut narrows the window to the size's shape, evenly on both sides.
func (l *layout) cut(ratio float64) {
	if ratio > 1 {
		spare := (l.window[3] - l.window[1]) * (1 - 1/ratio) / 2
		l.window[1] += spare
		l.window[3] -= spare
		return
	}
	spare := (l.window[2] - l.window[0]) * (1 - ratio) / 2
	l.window[0] += spare
	l.window[2] -= spare
}

func (l *layout) noteShape(pw, ph, w, h int) {
	mm := func(px int) float64 { return float64(px) * 25.4 / l.ppi }
	text := fmt.Sprintf("the picture has another shape than the size: printed %.0f x %.0f mm, inside %.0f x %.0f mm; --fit crop fills the size, --fit pad adds margins",
		mm(pw), mm(ph), mm(w), mm(h))
	if (pw > ph) != (w > h) {
		text += "; or turn the size, or the picture with --rotate auto: it lies the other way"
	}
	l.notices = append(l.notices, text)
}

// softPPI is where a print starts to look soft: one minute of arc, the usual
// figure for the eye, is 175 pixels an inch at half a metre.
const softPPI = 175

func (l *layout) noteEnlarged() {
	have := (l.window[2] - l.window[0]) / float64(l.picture.width()) * l.ppi
	if have < softPPI && have < 0.99*l.ppi {
		l.notices = append(l.notices, fmt.Sprintf("the picture has only %.0f pixels an inch at this size: fine detail will look soft", have))
	}
}

// keep cuts the print down to a part of it, given in millimetres.
func (l *layout) keep(p *Part, whole rect) error {
	r := rect{pixels(p.XMM, l.ppi), pixels(p.YMM, l.ppi), pixels(p.XMM+p.WidthMM, l.ppi), pixels(p.YMM+p.HeightMM, l.ppi)}
	sane := p.XMM >= 0 && p.YMM >= 0 && p.WidthMM > 0 && p.HeightMM > 0 && r.x1 > r.x0 && r.y1 > r.y0
	if !sane || r.x1 > whole.x1+1 || r.y1 > whole.y1+1 {
		mm := 25.4 / l.ppi
		return fault.New("", "--part", fmt.Sprintf("%g,%g,%g,%g mm is not inside the print, which is %.1f x %.1f mm",
			p.XMM, p.YMM, p.WidthMM, p.HeightMM, float64(whole.x1)*mm, float64(whole.y1)*mm),
			"give left, top, width, height in millimetres of the print")
	}
	l.part = rect{r.x0, r.y0, min(r.x1, whole.x1), min(r.y1, whole.y1)}
	if l.part.width() < 1 || l.part.height() < 1 {
		return fault.New("", "--part", "nothing of the print is inside it", "give left, top, width, height in millimetres of the print")
	}
	return nil
}

// shown is the picture's share of what is kept, from the kept part's top-left;
// empty when the part is all padding.
func (l *layout) shown() rect {
	r := rect{max(l.picture.x0, l.part.x0), max(l.picture.y0, l.part.y0),
		min(l.picture.x1, l.part.x1), min(l.picture.y1, l.part.y1)}
	if r.x1 <= r.x0 || r.y1 <= r.y0 {
		return rect{}
	}
	return rect{r.x0 - l.part.x0, r.y0 - l.part.y0, r.x1 - l.part.x0, r.y1 - l.part.y0}
}
