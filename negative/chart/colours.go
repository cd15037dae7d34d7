package chart

import (
	"fmt"

	"actinic/process/fault"
)

// ColoursOptions says how many printer colours a search shows.
type ColoursOptions struct {
	Sheet
	// Patches is their number, 1 to 5000, repeats included; the patches in the
	// corners of the sheet come on top.
	Patches int
	// Colours are the colours themselves, printer RGB of 0 to 255, repeats among
	// them; they take the place of Patches. Nil where none are given.
	Colours [][3]float64
}

// NewColours returns a chart of printer RGB for the search for the ink colour
// that stops most ultraviolet: corners of the cube and neutrals, colours well
// spread over its surface and inside, and some of them twice, all scattered by
// the seed. It fails with *fault.Error where film or options can't be used.
func NewColours(o ColoursOptions) (*Chart, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if o.Colours != nil {
		o.Patches = len(o.Colours)
	}
	if o.Patches < 1 || o.Patches > mostPatches {
		return nil, fault.New("", "", fmt.Sprintf("%d patches, expected 1 to %d", o.Patches, mostPatches), "200 patches serve a first search: --patches 200")
	}
	if o.Colours == nil {
		o.Colours = searchColours(o.Patches)
	}
	p, notices, err := o.plan(Colours)
	if err != nil {
		return nil, err
	}
	pages, marks, err := pagesOf(p, o.Patches)
	if err != nil {
		return nil, err
	}
	patches, err := o.given()
	if err != nil {
		return nil, err
	}
	c := o.newChart(Colours)
	c.Notices = notices
	c.addPages(&o.Sheet, p, pages, marks, scatter(patches, placesOf(pages), darkness, newDraw(o.Seed)))
	return c, nil
}

// given are the patches of the colours that were asked for.
func (o *ColoursOptions) given() ([]Patch, error) {
	var patches []Patch
	for _, c := range o.Colours {
		for _, v := range c {
			if !(v >= 0 && v <= 255) {
				return nil, fault.New("", "", fmt.Sprintf("a printer colour of %g, expected three values of 0 to 255", c), "")
			}
		}
		device := c
		patches = append(patches, Patch{Device: &device})
	}
	return patches, nil
}

// searchColours are the colours of a search by n patches.
func searchColours(n int) [][3]float64 {
	var all [][3]float64
	for _, c := range colours(n) {
		all = append(all, [3]float64{float64(c[0]), float64(c[1]), float64(c[2])})
	}
	return all
}

// Shares of a search: one patch in 12 is a neutral, one in 20 is there again
// (working values of ours).
const (
	neutralShare = 12
	repeatShare  = 20
)

// colours returns n colours, the repeats last.
func colours(n int) [][3]int {
	repeats := n / repeatShare
	all := fixedColours(n)
	all = all[:min(len(all), n-repeats)]
	all = spreadColours(all, n-repeats)
	// Every third of those chosen comes again: colours far from each other,
	// neutrals among them.
	for i := range repeats {
		all = append(all, all[3*i%(n-repeats)])
	}
	return all
}

// fixedColours are the corners of the cube, then the neutrals between.
func fixedColours(n int) [][3]int {
	all := [][3]int{{255, 255, 255}, {0, 0, 0}, {255, 0, 0}, {255, 255, 0}, {0, 255, 0}, {0, 255, 255}, {0, 0, 255}, {255, 0, 255}}
	between := max(0, n/neutralShare-2)
	for i := 1; i <= between; i++ {
		v := 255 - 255*i/(between+1)
		all = append(all, [3]int{v, v, v})
	}
	return all
}

// latticeSteps: colours come from a lattice of 21 values a channel, 9261 points.
const latticeSteps = 20

// spreadColours adds lattice colours up to n, each as far as can be from those
// chosen so far. What lies inside the cube counts as nearer than it is, because
// the most opaque inks lie on its surface: there the printer lays down most.
func spreadColours(chosen [][3]int, n int) [][3]int {
	points := latticeColours()
	far := make([]int, len(points))
	for i := range far {
		far[i] = 1 << 30
	}
	nearer := func(to [3]int) {
		for i, p := range points {
			far[i] = min(far[i], apart(p, to))
		}
	}
	for _, c := range chosen {
		nearer(c)
	}
	for len(chosen) < n {
		best := 0
		for i := range far {
			if far[i] > far[best] {
				best = i
			}
		}
		chosen = append(chosen, points[best])
		nearer(points[best])
	}
	return chosen
}

func latticeColours() [][3]int {
	var points [][3]int
	value := func(i int) int { return (255*i + latticeSteps/2) / latticeSteps }
	for r := range latticeSteps + 1 {
		for g := range latticeSteps + 1 {
			for b := range latticeSteps + 1 {
				points = append(points, [3]int{value(r), value(g), value(b)})
			}
		}
	}
	return points
}

// apart is the squared distance of a colour p from another, halved inside the
// cube.
func apart(p, to [3]int) int {
	d, inside := 0, true
	for i := range p {
		d += 2 * (p[i] - to[i]) * (p[i] - to[i])
		inside = inside && p[i] > 0 && p[i] < 255
	}
	if inside {
		d /= 2
	}
	return d
}
