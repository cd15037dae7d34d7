package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Unevenness is what the positions of the patches tell of the sheets: how light
// and coating differ from place to place. It was taken out of the readings; the
// curve is that of the mean over the patches.
type Unevenness struct {
	Prints []PrintUnevenness `json:"prints"` // those whose patches say where they lie
	// Repeats is the share of the unevenness of light that the prints have in
	// common, by mean squares; null for fewer than two prints.
	Repeats *float64 `json:"share_of_light_that_repeats"`
	Lamp    *LampMap `json:"lamp"` // null unless several prints agree
}

// PrintUnevenness is that of one print.
type PrintUnevenness struct {
	Print       int     `json:"print"`                // from 1, in the order of the prints
	Readings    string  `json:"readings"`             // base name of the ramp's file
	Area        Area    `json:"area"`                 // of the ramp's patches
	LogExposure Extent  `json:"log_exposure"`         // light, log10
	NetDensity  Extent  `json:"net_density_percent"`  // coating, % of net density
	Order       float64 `json:"levels_told_by_place"` // share of the ink levels' spread that place explains
}

// Extent says how much a quantity differs over the area of the patches.
type Extent struct {
	Range Value `json:"range"` // from the least to the most
	RMS   Value `json:"rms"`   // about the mean
	Least Place `json:"least_at"`
	Most  Place `json:"most_at"`
}

// Place is a place on the page, in millimetres from the top-left corner of the
// finished print.
type Place struct {
	XMM float64 `json:"x_mm"`
	YMM float64 `json:"y_mm"`
}

// Area is where patches lie, by the centres of the outermost, on the page.
type Area struct {
	LeftMM   float64 `json:"left_mm"`
	TopMM    float64 `json:"top_mm"`
	RightMM  float64 `json:"right_mm"`
	BottomMM float64 `json:"bottom_mm"`
}

// name says where in the area a place is, as one sees the finished print.
func (a Area) name(p Place) string {
	third := func(v, low, high float64) int {
		switch t := (v - low) / (high - low); {
		case t < 1.0/3:
			return 0
		case t > 2.0/3:
			return 2
		}
		return 1
	}
	x, y := third(p.XMM, a.LeftMM, a.RightMM), third(p.YMM, a.TopMM, a.BottomMM)
	return [3][3]string{
		{"top left corner", "top edge", "top right corner"},
		{"left edge", "middle", "right edge"},
		{"bottom left corner", "bottom edge", "bottom right corner"},
	}[y][x]
}

// LampMap is the light over the page as several prints have it in common: log
// exposure off its mean at a grid of places, row by row.
type LampMap struct {
	Extent
	XMM         []float64   `json:"x_mm"`
	YMM         []float64   `json:"y_mm"`
	LogExposure [][]float64 `json:"log_exposure"`
	SD          [][]float64 `json:"sd"`
}

// mapNodes is how many places a map has each way.
const mapNodes = 9

// What makes prints agree about the lamp: most of their unevenness of light is
// common, and it shows.
const agreement = 0.6

// What shows is clearly more than its doubt, because the largest difference over
// a sheet is never below 0; and it is worth a word (working values of ours: a
// thirtieth of a stop, a hundredth of black).
const (
	significant  = 2.5  // standard uncertainties
	leastLight   = 0.01 // log exposure
	leastCoating = 1.0  // %
)

// Unevenness returns what was found, nil when no print says where its patches
// lie, or unevenness was to be kept.
func (e *Estimate) Unevenness() *Unevenness {
	s := &e.fit.uneven
	if s.count == 0 {
		return nil
	}
	u := &Unevenness{}
	for k, sheet := range s.sheets {
		if sheet == nil {
			continue
		}
		light := e.surface(sheet, func(row, terms []float64) { s.derive(row, k, terms, 1, 0) })
		coating := e.surface(sheet, func(row, terms []float64) { s.derive(row, k, terms, 0, 100) })
		u.Prints = append(u.Prints, PrintUnevenness{Print: e.prints[k].number, Readings: e.prints[k].Ramp.Name, Area: sheet.area(),
			LogExposure: light.extent(e.fit), NetDensity: coating.extent(e.fit), Order: sheet.order})
	}
	if s.shared() {
		u.compare(e)
	}
	return u
}

// compare sets what the prints have in common, mapped over the last one's patches.
func (u *Unevenness) compare(e *Estimate) {
	s := &e.fit.uneven
	var common *surfaceMap
	all, own := 0.0, 0.0
	for k, sheet := range s.sheets {
		if sheet == nil {
			continue
		}
		common = e.surface(sheet, func(row, terms []float64) { copy(row, terms) })
		light := e.surface(sheet, func(row, terms []float64) { s.derive(row, k, terms, 1, 0) })
		all += light.meanSquare()
		floats.Sub(light.value, common.value)
		own += light.meanSquare()
	}
	share := 0.0
	if all > 0 {
		share = math.Max(0, 1-own/all)
	}
	u.Repeats = &share
	if lamp := common.extent(e.fit); share >= agreement && lamp.shows(leastLight) {
		u.Lamp = common.lampMap(e.fit, lamp)
	}
}

// shows says that the unevenness is worth a word.
func (x Extent) shows(least float64) bool {
	return x.Range.Value > significant*x.Range.SD && x.Range.Value > least
}

// lightShows and coatingShows say so of light and coating.
func (p *PrintUnevenness) lightShows() bool   { return p.LogExposure.shows(leastLight) }
func (p *PrintUnevenness) coatingShows() bool { return p.NetDensity.shows(leastCoating) }

// surfaceMap is a surface at the places of a grid, off its mean over them.
type surfaceMap struct {
	xMM, yMM []float64
	value    []float64   // row by row
	gradient [][]float64 // by all parameters
}

// surface maps a surface over a sheet. derive writes the derivatives by the
// surfaces' parameters, in which all surfaces are linear, at a place.
func (e *Estimate) surface(s *sheet, derive func(row, terms []float64)) *surfaceMap {
	m := &surfaceMap{xMM: grid(s.xMM), yMM: grid(s.yMM)}
	core, size := e.fit.core(), e.fit.size()
	mean := make([]float64, size)
	for _, y := range m.yMM {
		for _, x := range m.xMM {
			row := make([]float64, size)
			derive(row[core:], s.terms(x, y))
			m.gradient = append(m.gradient, row)
			floats.AddScaled(mean, 1.0/(mapNodes*mapNodes), row)
		}
	}
	for _, row := range m.gradient {
		floats.Sub(row, mean)
		m.value = append(m.value, floats.Dot(row, e.fit.mean))
	}
	return m
}

func (s *sheet) area() Area {
	return Area{floats.Min(s.xMM), floats.Min(s.yMM), floats.Max(s.xMM), floats.Max(s.yMM)}
}

// grid spans positions with evenly spaced ones.
func grid(positions []float64) []float64 {
	return floats.Span(make([]float64, mapNodes), floats.Min(positions), floats.Max(positions))
}

func (m *surfaceMap) meanSquare() float64 {
	return floats.Dot(m.value, m.value) / float64(len(m.value))
}

func (m *surfaceMap) at(i int) Place { return Place{m.xMM[i%mapNodes], m.yMM[i/mapNodes]} }

func (m *surfaceMap) extent(f *fitted) Extent {
	least, most := floats.MinIdx(m.value), floats.MaxIdx(m.value)
	x := Extent{Least: m.at(least), Most: m.at(most)}
	across := make([]float64, len(m.gradient[0]))
	floats.SubTo(across, m.gradient[most], m.gradient[least])
	x.Range = Value{m.value[most] - m.value[least], f.sd(across)}
	x.RMS.Value = math.Sqrt(m.meanSquare())
	if x.RMS.Value > 0 {
		slope := make([]float64, len(across))
		for i, row := range m.gradient {
			floats.AddScaled(slope, m.value[i]/(x.RMS.Value*float64(len(m.value))), row)
		}
		x.RMS.SD = f.sd(slope)
	}
	return x
}

func (m *surfaceMap) lampMap(f *fitted, x Extent) *LampMap {
	l := &LampMap{Extent: x, XMM: m.xMM, YMM: m.yMM}
	for i := 0; i < len(m.value); i += mapNodes {
		l.LogExposure = append(l.LogExposure, m.value[i:i+mapNodes])
		var sd []float64
		for _, row := range m.gradient[i : i+mapNodes] {
			sd = append(sd, f.sd(row))
		}
		l.SD = append(l.SD, sd)
	}
	return l
}

func (l *LampMap) area() Area {
	return Area{l.XMM[0], l.YMM[0], l.XMM[len(l.XMM)-1], l.YMM[len(l.YMM)-1]}
}

// check refuses a map whose columns do not hang together.
func (u *Unevenness) check(bad func(where, what string) error) error {
	if u == nil || u.Lamp == nil {
		return nil
	}
	l := u.Lamp
	whole := len(l.XMM) > 1 && len(l.YMM) > 1 && len(l.LogExposure) == len(l.YMM) && len(l.SD) == len(l.YMM) && strictlyRising(l.XMM) && strictlyRising(l.YMM)
	for i := 0; whole && i < len(l.YMM); i++ {
		whole = len(l.LogExposure[i]) == len(l.XMM) && len(l.SD[i]) == len(l.XMM)
	}
	if !whole {
		return bad("field quality.unevenness.lamp", "expected a row of light and of doubt for each y_mm, a value in each for each x_mm")
	}
	return nil
}
