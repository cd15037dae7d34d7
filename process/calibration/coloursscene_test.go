package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/printer"
)

// layered is an invented printer for tests: three dyes in layers, whose densities
// add, and a driver that lays down less than asked for in the lights. It is no
// formula of the printer's model.
type layered struct{ strength, gamma [3]float64 }

func newLayered(rng *rand.Rand, densest float64) layered {
	var p layered
	for i, s := range [3]float64{0.9, 0.7, 1.6} {
		p.strength[i] = s * (0.7 + 0.6*rng.Float64())
		p.gamma[i] = 1.1 + 0.8*rng.Float64()
	}
	all := p.uv(printer.RGB{0, 0, 0})
	for i := range p.strength {
		p.strength[i] *= densest / all
	}
	return p
}

func (p layered) uv(c printer.RGB) float64 {
	sum := 0.0
	for i, s := range p.strength {
		sum += s * math.Pow(1-c[i]/255, p.gamma[i])
	}
	return sum
}

// colourScene is a scene printed with colours of a printer.
type colourScene struct {
	scene
	printer layered
	rgb     []printer.RGB
}

// someColours are n colours over the cube, clear film three times among them and
// one in twenty there again.
func someColours(rng *rand.Rand, n int) []printer.RGB {
	out := []printer.RGB{printer.Clear, printer.Clear, printer.Clear, {0, 0, 0}}
	for len(out) < n-n/20 {
		var c printer.RGB
		for i := range c {
			c[i] = float64(rng.IntN(256))
			if rng.IntN(4) == 0 {
				c[i] = float64(255 * rng.IntN(2))
			}
		}
		out = append(out, c)
	}
	for i := 0; len(out) < n; i++ {
		out = append(out, out[3+i])
	}
	return out
}

// newColourScene draws a paper, a printer and colours of a seed.
func newColourScene(seed uint64, n int) colourScene {
	rng := rand.New(rand.NewPCG(seed, 501))
	s := colourScene{scene: darkroomScene()}
	s.levels = 0
	s.paper.k, s.paper.m = 3+2.5*rng.Float64(), 0.5+rng.Float64()
	s.paper.net, s.paper.paper = 1.1+0.6*rng.Float64(), 0.05+0.06*rng.Float64()
	s.paper.x0 = -0.9 - 0.4*rng.Float64()
	s.printer = newLayered(rng, 1.6+1.2*rng.Float64())
	s.rgb = someColours(rng, n)
	return s
}

// unevenColours is a scene of colours on a sheet that is not even: where each patch
// lies is drawn, light falls off and the coating lies in waves.
type unevenColours struct {
	colourScene
	light, coating float64 // log exposure and log net density, at most
	lamp           uint64  // seed of the light
}

// The patches' grid in millimetres.
const colourColumns, colourPitchMM, colourRowMM = 14, 13.0, 14.5

// colourPrint prints and reads the scene, more exposed by log exposure more.
func (a unevenColours) colourPrint(seed uint64, more float64) ColourPrint {
	even := a.colourScene
	even.exposure += more
	p := a.colourScene.colourPrint(seed, more)
	light, coat := falloff(rand.New(rand.NewPCG(a.lamp, 503)), a.light), waves(rand.New(rand.NewPCG(seed, 504)), a.coating)
	rng := rand.New(rand.NewPCG(seed, 505))
	at := func(q spot) scene {
		s := even.scene
		s.exposure += light(q)
		s.paper.net *= math.Exp(coat(q))
		return s
	}
	cells := rand.New(rand.NewPCG(a.lamp, 506)).Perm(len(a.rgb)) // one film for all prints
	p.Colours = altered(p.Colours, func(r *measure.Reading, i int) {
		q := spot{15 + colourPitchMM*float64(cells[i]%colourColumns), 15 + colourRowMM*float64(cells[i]/colourColumns)}
		read := at(q).read(rng, r.ID, a.printer.uv(r.Device))
		r.Value, r.XMM, r.YMM = read.Value, q.x, q.y
	})
	p.Tablet = altered(p.Tablet, func(r *measure.Reading, i int) {
		q := spot{15 + stepMM*float64(i), stripMM}
		read := at(q).read(rng, r.ID, float64(r.Tablet))
		r.Value, r.XMM, r.YMM = read.Value, q.x, q.y
	})
	return p
}

// colourPrint prints and reads the scene, more exposed by log exposure more.
func (s colourScene) colourPrint(seed uint64, more float64) ColourPrint {
	s.exposure += more
	p := ColourPrint{Tablet: s.print(seed).Tablet, CutOut: s.cutOut}
	rng := rand.New(rand.NewPCG(seed, 502))
	p.Colours = &measure.Table{Kind: measure.Colours, Unit: s.unit, File: "dir/colours.csv", Name: "colours.csv", SHA256: fmt.Sprintf("cc%d", seed)}
	for i, c := range s.rgb {
		r := s.read(rng, fmt.Sprintf("P%d", i+1), s.printer.uv(c))
		r.Device, r.HasDevice, r.Tablet = c, true, density.Density(math.NaN())
		p.Colours.Readings = append(p.Colours.Readings, r)
	}
	return p
}

func (s colourScene) fitColours(t testing.TB, prints ...ColourPrint) *Colours {
	t.Helper()
	c, err := FitColours(prints, &Options{Falling: s.falling})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// colourFigures sums up how far measured colours lie from their truth.
type colourFigures struct {
	square, count, held, numbers float64 // those whose doubt is at most fine
	outside, bounds              float64
	idle                         float64 // bounds of 0
	highest                      float64
}

// fine is the doubt up to which the figures count.
const fine = 0.05

func (g *colourFigures) add(c *Colours, truth func(printer.RGB) float64) {
	for _, m := range c.Measured {
		uv := truth(m.RGB)
		if m.RGB == printer.Clear {
			continue
		}
		if !m.Known() {
			g.bounds++
			if m.AtLeast == 0 {
				g.idle++
			}
			if m.AtLeast > uv || m.AtMost < uv {
				g.outside++
			}
			continue
		}
		g.numbers++
		off := m.UVDensity - uv
		if math.Abs(off) <= coverage95*m.SD {
			g.held++
		}
		if m.SD <= fine {
			g.square += off * off
			g.count++
			g.highest = math.Max(g.highest, uv)
		}
	}
}

func (g *colourFigures) String() string {
	return fmt.Sprintf("off by %.4f rms (%.0f colours with doubt <= %.2f, up to %.2f); %.1f %% of %.0f numbers in their band; %.1f %% of %.0f bounds broken",
		math.Sqrt(g.square/g.count), g.count, fine, g.highest, 100*g.held/g.numbers, g.numbers, 100*g.outside/g.bounds, g.bounds)
}
