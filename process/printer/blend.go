package printer

import (
	"fmt"
	"math"

	"actinic/process/fault"
)

// BlendOptions says what an ink blend is for.
type BlendOptions struct {
	// NeededRange is the UV density up to which the blend matters; 0 is all of it.
	NeededRange float64
	// FixedEnd holds the end at the ink colour. Otherwise, with a needed range, the
	// blend may end in any colour that surely stops as much as is needed, and a
	// tenth more where the ink colour does.
	FixedEnd bool
	// MostNodes is how many nodes the path may have, its ends among them, at least
	// 3; 0 is 12.
	MostNodes int
}

// usualNodes are as many nodes as a person still reads through.
const usualNodes = 12

// worthwhile is the most that a blend's largest step may be of the straight
// way's for the blend to be worth it (a working value of ours).
const worthwhile = 0.7

// NewBlend returns the ink blend to an ink colour: a way through RGB along which
// UV density rises evenly, in steps as small as m says they can be. Where no
// blend is worth it, it returns the straight way, which has two nodes. It fails
// with a *fault.Error where m says that the ink colour stops nothing, or the
// colour is none. m must tell 0 for clear film.
func NewBlend(m Predictor, to RGB, o BlendOptions) (Path, error) {
	if err := checkEnd(m, to); err != nil {
		return nil, err
	}
	s := newSearch(m, to, o)
	way := s.way()
	if way == nil {
		return Straight(to), nil
	}
	blend := evenPath(m, way, o.nodes())
	if !blendGains(s.straight, GradationOf(m, blend, s.looked())) {
		return Straight(to), nil
	}
	return blend, nil
}

// blendGains says whether a path is better graded than the straight way to the
// ink colour: its largest step clearly smaller, or rising where the other falls.
func blendGains(straight, blend Gradation) bool {
	if straight.Rises != blend.Rises {
		return blend.Rises
	}
	return blend.LargestStep <= worthwhile*straight.LargestStep
}

func (o BlendOptions) nodes() int {
	if o.MostNodes == 0 {
		return usualNodes
	}
	return max(o.MostNodes, 3)
}

func checkEnd(m Predictor, to RGB) error {
	for _, v := range to {
		if !(v >= 0 && v <= 255) {
			return fault.New("", "ink colour", fmt.Sprintf("%g, %g, %g is no printer colour", to[0], to[1], to[2]), "give red, green and blue, each 0 to 255")
		}
	}
	if uv, _ := m.UVDensity(to); !(uv > 0) || math.IsInf(uv, 0) {
		return fault.New("", "ink colour", fmt.Sprintf("%g, %g, %g stops no ultraviolet", to[0], to[1], to[2]), "choose one that the ranking lists")
	}
	return nil
}
