package darkroom

import (
	"math"

	"actinic/process/density"
)

// developSheet turns light into the L* of the print, in place: the lamp shifts
// exposure, coating and grain change net density, and mottle lies over all.
func (s *Setup) developSheet(p *ContactPrint, f Frame) {
	d := developer{
		print:  p,
		lamp:   f.Lamp.shift(p.WidthMM(), p.HeightMM(), p.BeyondMM),
		weight: f.Coating.weight(f.Seed, p.WidthMM(), p.HeightMM(), p.BeyondMM),
		edge:   f.Coating.edge(f.Seed, p.Width, p.Height, 25.4/p.PPI, p.BeyondMM),
		clouds: newMottle(f.Seed, pixels(f.MottleMM, p.PPI), f.Mottle),
		grain:  newMottle(mix(f.Seed), pixels(f.GrainMM, p.PPI), f.Grain),
		paper:  s.paper + float64(f.Print.PaperShift),
		table:  lightnessTable(),
	}
	d.net = tableOf(func(x density.LogExposure) float64 { return float64(s.PrintDensityOn(f.Print, x)) - d.paper })
	eachRow(p.Height, d.row)
}

func pixels(mm, ppi float64) int { return max(int(math.Round(mm*ppi/25.4)), 1) }

// developer holds what the rows of one sheet share.
type developer struct {
	print         *ContactPrint
	lamp, weight  *field
	edge          *brushEdge
	clouds, grain mottle
	paper         float64    // density
	net           paperTable // net density against log exposure
	table         []float64  // L* against print density
}

func (d *developer) row(y int) {
	p := d.print
	lines := make([]float64, 5*p.Width)
	line := func(i int) []float64 { return lines[i*p.Width : (i+1)*p.Width] }
	lamp, weight, clouds, grain, cover := line(0), line(1), line(2), line(3), line(4)
	pixelMM := 25.4 / p.PPI
	d.lamp.row(lamp, pixelMM/2, pixelMM, (float64(y)+0.5)*pixelMM)
	d.weight.row(weight, pixelMM/2, pixelMM, (float64(y)+0.5)*pixelMM)
	d.clouds.row(y, clouds)
	d.grain.row(y, grain)
	ends := d.edge.row(cover, y)
	for x, light := range p.L[y*p.Width : (y+1)*p.Width] {
		net := d.net.at(math.Log10(float64(light)) + lamp[x])
		net *= (1 + weight[x]) * (1 + grain[x])
		if ends {
			net *= cover[x]
		}
		l := d.lightness(d.paper+net) + clouds[x]
		p.L[y*p.Width+x] = float32(min(max(l, 0), 100))
	}
}

const perDensity = 2000 // entries of the table

// lightnessTable is L* at print densities from 0 to 4.
func lightnessTable() []float64 {
	table := make([]float64, 4*perDensity+1)
	for i := range table {
		table[i] = float64(density.Density(float64(i) / perDensity).Lightness())
	}
	return table
}

func (d *developer) lightness(printed float64) float64 {
	at := min(max(printed*perDensity, 0), float64(len(d.table)-1)-1e-9)
	i := int(at)
	return d.table[i] + (at-float64(i))*(d.table[i+1]-d.table[i])
}
