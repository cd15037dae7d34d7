package scan

import (
	"fmt"

	"actinic/process/fault"
)

// scaleInner is the share of a patch of a grey scale that is read each way.
const scaleInner = 0.6

// readScale reads the patches of a grey scale where they lie in one scan, in the
// order of the file.
func (r *reader) readScale(s *GreyScale, m pageMap) ([]Reading, error) {
	if s.Strip == nil {
		return r.readPlaced(s, m)
	}
	return r.readStripScale(s)
}

// scaleShapes returns the corners of the areas that readScale reads.
func (r *reader) scaleShapes(s *GreyScale, m pageMap) [][4]Point {
	var out [][4]Point
	for i, p := range s.Patches {
		if s.Strip != nil {
			out = append(out, s.Strip.part(i, len(s.Patches)).corners(planePixels{float64(r.plane.Reduced)}))
			continue
		}
		out = append(out, p.inside().corners(m))
	}
	return out
}

// inside is the part of a placed patch that is read.
func (p ScalePatch) inside() area {
	a := p.Area
	return area{xMM: a.XMM + a.WidthMM/2, yMM: a.YMM + a.HeightMM/2, halfWMM: scaleInner * a.WidthMM / 2, halfHMM: scaleInner * a.HeightMM / 2}
}

func (r *reader) readPlaced(s *GreyScale, m pageMap) ([]Reading, error) {
	var out []Reading
	for _, p := range s.Patches {
		got := r.read(p.inside(), m)
		got.ID = p.ID
		out = append(out, got)
	}
	return out, s.checkRead(out)
}

// planePixels takes scan pixels for a page of their own.
type planePixels struct{ reduced float64 }

func (s planePixels) ToPlane(x, y float64) Point { return Point{x / s.reduced, y / s.reduced} }

// readStripScale reads equal patches along a rectangle. Which end comes first,
// the densities tell: the scanned light must fall as they rise.
func (r *reader) readStripScale(s *GreyScale) ([]Reading, error) {
	n := len(s.Patches)
	out := make([]Reading, n)
	for i := range out {
		out[i] = r.read(s.Strip.part(i, n), planePixels{float64(r.plane.Reduced)})
	}
	if s.disorder(out, false) > s.disorder(out, true) {
		for i, j := 0, n-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
	}
	for i, p := range s.Patches {
		out[i].ID = p.ID
	}
	return out, s.checkRead(out)
}

// part is the inside of the i-th of n equal parts along the longer side.
func (b *ScanRect) part(i, n int) area {
	at := (float64(i) + 0.5) / float64(n)
	a := area{xMM: b.X + b.Width/2, yMM: b.Y + b.Height/2, halfWMM: scaleInner * b.Width / 2, halfHMM: scaleInner * b.Height / 2}
	if b.Width >= b.Height {
		a.xMM = b.X + float64(b.Width*at)
		a.halfWMM /= float64(n)
		return a
	}
	a.yMM = b.Y + float64(b.Height*at)
	a.halfHMM /= float64(n)
	return a
}

// disorder counts the pairs of patches whose light does not fall as their
// density rises.
func (s *GreyScale) disorder(rs []Reading, backwards bool) int {
	n, count := len(rs), 0
	at := func(i int) float64 {
		if backwards {
			i = n - 1 - i
		}
		return rs[i].y
	}
	for i := range n {
		for j := range i {
			rises := s.Patches[i].Density > s.Patches[j].Density
			if (at(i) < at(j)) != rises && s.Patches[i].Density != s.Patches[j].Density {
				count++
			}
		}
	}
	return count
}

func (s *GreyScale) checkRead(rs []Reading) error {
	for _, r := range rs {
		if r.seen.inside < leastPixels || r.seen.flag(plainTone()) == beyondTheFlag {
			return fault.New(s.File, "patch "+r.ID, fmt.Sprintf("lies off the scan, or has only %d pixels in it", r.seen.inside), "check where the grey scale lies")
		}
	}
	if n := len(rs); s.disorder(rs, false) > n*(n-1)/2/10 {
		return fault.New(s.File, "", "the scanned tones do not follow the densities of the grey scale", "check where the grey scale lies, and the order of its patches")
	}
	return s.checkEven(rs)
}

// mostCut is the share of a grey scale's patches that may hold a second tone: a
// scratch cuts one, a wrong rectangle or a patch too few nearly all. A working
// value of ours.
const mostCut = 0.25

// checkEven wants each area to lie on one patch. Where two meet in it, the tone of
// the smaller part was taken for dust and left out.
func (s *GreyScale) checkEven(rs []Reading) error {
	var cut []string
	for _, r := range rs {
		if r.seen.rejected > mostRejected {
			cut = append(cut, r.ID)
		}
	}
	if len(cut) > 1 && float64(len(cut)) > mostCut*float64(len(rs)) {
		return fault.New(s.File, "patch "+cut[0], fmt.Sprintf("holds more than one tone in the scan, and so do %d of %d patches of the grey scale", len(cut), len(rs)),
			"check where the grey scale lies, and that its file lists each of its patches once")
	}
	return nil
}
