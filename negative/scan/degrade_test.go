package scan

import (
	"fmt"
	"math"
	"math/rand/v2"

	"actinic/negative/chart"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/makiuchi-d/gozxing/qrcode/encoder"
)

// A chart of the tests' own, printed and scanned badly: independent of how charts
// are laid out and drawn in earnest.

// ground is a page's film ink, 0 to 1, on a fine grid.
type ground struct {
	width, height int
	v             []float32
}

const groundPerMM = 8

// testChart returns a chart of one page with marks every 80 mm or so along its
// edges at unsymmetrical places, a code and a field of patches.
func testChart(widthMM, heightMM float64, seed uint64) *chart.Chart {
	random := rand.New(rand.NewPCG(seed, 77))
	page := chart.Page{Code: testCode(random), WidthMM: widthMM, HeightMM: heightMM, PPI: 360}
	d := 7.0
	if min(widthMM, heightMM) < 130 {
		d = 6
	}
	in := 6 + d/2*chart.MarkClear
	mark := func(id string, x, y float64) {
		page.Marks = append(page.Marks, chart.Mark{ID: id, XMM: math.Round(x*1000) / 1000, YMM: math.Round(y*1000) / 1000, DiameterMM: d})
	}
	mark("tl", in, in)
	mark("tr", widthMM-in, in)
	mark("bl", in, heightMM-in)
	mark("br", widthMM-in, heightMM-in)
	along := func(name string, length float64, shift float64, at func(s float64) (x, y float64)) {
		n := max(1, int(length/80))
		for i := range n {
			x, y := at((float64(i) + 0.5 + shift) / float64(n) * length)
			mark(fmt.Sprintf("%s%d", name, i+1), x, y)
		}
	}
	along("t", widthMM, -0.13, func(s float64) (float64, float64) { return s, in })
	along("b", widthMM, 0.08, func(s float64) (float64, float64) { return s, heightMM - in })
	along("l", heightMM, 0.11, func(s float64) (float64, float64) { return in, s })
	along("r", heightMM, -0.06, func(s float64) (float64, float64) { return widthMM - in, s })
	mark("i1", widthMM*0.55, heightMM*0.42)
	module := 0.7
	if d == 6 {
		module = 0.5
	}
	page.CodeBox = &chart.Rect{XMM: widthMM*0.3 - 8, YMM: heightMM - 34, WidthMM: 21 * module, HeightMM: 21 * module}
	addPatches(&page, random)
	return &chart.Chart{Kind: chart.Ramp, Seed: seed, Pages: []chart.Page{page}}
}

func testCode(random *rand.Rand) string {
	code := make([]byte, 8)
	for i := range code {
		code[i] = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"[random.IntN(32)]
	}
	return string(code)
}

// addPatches fills the page with patches where nothing else lies.
func addPatches(page *chart.Page, random *rand.Rand) {
	const size, gap, margin = 7.0, 0.6, 17.0
	for y := margin; y+size < page.HeightMM-margin; y += size + gap {
		for x := margin; x+size < page.WidthMM-margin; x += size + gap {
			if box := page.CodeBox; x+size > box.XMM-5 && x < box.XMM+box.WidthMM+5 && y+size > box.YMM-5 && y < box.YMM+box.HeightMM+5 {
				continue
			}
			clear := true
			for _, m := range page.Marks {
				r := m.DiameterMM / 2 * chart.MarkClear
				clear = clear && (x > m.XMM+r || x+size < m.XMM-r || y > m.YMM+r || y+size < m.YMM-r)
			}
			if !clear {
				continue
			}
			ink := float64(random.IntN(41)) * 2.5
			page.Patches = append(page.Patches, chart.Patch{ID: fmt.Sprintf("p%d", len(page.Patches)), Rect: chart.Rect{XMM: x, YMM: y, WidthMM: size, HeightMM: size}, Ink: &ink})
		}
	}
}

// drawGround draws a page.
func drawGround(page *chart.Page) *ground {
	g := &ground{width: int(page.WidthMM * groundPerMM), height: int(page.HeightMM * groundPerMM)}
	g.v = make([]float32, g.width*g.height)
	for _, p := range page.Patches {
		g.fill(p.Rect, float32(*p.Ink/100))
	}
	for _, m := range page.Marks {
		g.disc(m.XMM, m.YMM, m.DiameterMM/2*chart.MarkClear, 0)
		g.disc(m.XMM, m.YMM, m.DiameterMM/2, 1)
		g.disc(m.XMM, m.YMM, m.DiameterMM/2*chart.MarkRing, 0)
		g.disc(m.XMM, m.YMM, m.DiameterMM/2*chart.MarkDot, 1)
	}
	g.code(page)
	return g
}

func (g *ground) fill(r chart.Rect, ink float32) {
	for y := max(0, int(r.YMM*groundPerMM)); y < min(g.height, int((r.YMM+r.HeightMM)*groundPerMM)); y++ {
		for x := max(0, int(r.XMM*groundPerMM)); x < min(g.width, int((r.XMM+r.WidthMM)*groundPerMM)); x++ {
			g.v[y*g.width+x] = ink
		}
	}
}

// blur blurs by about that standard deviation: a box passed over rows and columns,
// twice.
func (g *ground) blur(sdMM float64) {
	reach := int(sdMM * groundPerMM * math.Sqrt(1.5))
	if reach == 0 {
		return
	}
	for range 2 {
		for y := range g.height {
			smooth(g.v, y*g.width, 1, g.width, reach)
		}
		for x := range g.width {
			smooth(g.v, x, g.width, g.height, reach)
		}
	}
}

// smooth replaces each of n values, a stride apart, by the mean of those within
// reach.
func smooth(v []float32, from, stride, n, reach int) {
	old := make([]float64, n+1) // sums
	for i := range n {
		old[i+1] = old[i] + float64(v[from+i*stride])
	}
	for i := range n {
		a, b := max(0, i-reach), min(n, i+reach+1)
		v[from+i*stride] = float32((old[b] - old[a]) / float64(b-a))
	}
}

// disc draws with soft pixels, so that its centre is exact.
func (g *ground) disc(xMM, yMM, radiusMM float64, ink float32) {
	for y := max(0, int((yMM-radiusMM)*groundPerMM)-1); y < min(g.height, int((yMM+radiusMM)*groundPerMM)+2); y++ {
		for x := max(0, int((xMM-radiusMM)*groundPerMM)-1); x < min(g.width, int((xMM+radiusMM)*groundPerMM)+2); x++ {
			r := math.Hypot((float64(x)+0.5)/groundPerMM-xMM, (float64(y)+0.5)/groundPerMM-yMM)
			share := float32(min(1, max(0, (radiusMM-r)*groundPerMM+0.5)))
			g.v[y*g.width+x] += share * (ink - g.v[y*g.width+x])
		}
	}
}

// code draws the page's code: dark modules are clear film on full ink.
func (g *ground) code(page *chart.Page) {
	if page.CodeBox == nil {
		return
	}
	drawn, err := encoder.Encoder_encode(page.Code, decoder.ErrorCorrectionLevel_H, map[gozxing.EncodeHintType]any{gozxing.EncodeHintType_QR_VERSION: 1})
	if err != nil {
		panic(err)
	}
	b := *page.CodeBox
	m := b.WidthMM / 21
	g.fill(chart.Rect{XMM: b.XMM - 4*m, YMM: b.YMM - 4*m, WidthMM: 29 * m, HeightMM: 29 * m}, 1)
	for y := range 21 {
		for x := range 21 {
			if drawn.GetMatrix().Get(x, y) == 1 {
				g.fill(chart.Rect{XMM: b.XMM + float64(x)*m, YMM: b.YMM + float64(y)*m, WidthMM: m, HeightMM: m}, 0)
			}
		}
	}
}

// at returns the ink at a place, and whether it is on the film.
func (g *ground) at(xMM, yMM float64) (float64, bool) {
	x, y := xMM*groundPerMM-0.5, yMM*groundPerMM-0.5
	if !(x >= 0 && y >= 0 && x < float64(g.width-1) && y < float64(g.height-1)) {
		return 0, false
	}
	i := int(y)*g.width + int(x)
	fx, fy := float32(x-math.Floor(x)), float32(y-math.Floor(y))
	top := g.v[i] + fx*(g.v[i+1]-g.v[i])
	bottom := g.v[i+g.width] + fx*(g.v[i+g.width+1]-g.v[i+g.width])
	return float64(top + fy*(bottom-top)), true
}

// bad says how a page is printed and scanned.
type bad struct {
	seed             uint64
	pxPerMM          float64
	bedWMM, bedHMM   float64
	turn             float64 // degrees
	shrinkX, shrinkY float64
	offX, offY       float64 // share of what the bed leaves free
	mirrored, light  bool    // light: ink prints light
	black, white     float64 // roots of clear film and full ink
	paper            float64 // root of uncoated paper
	lid              float64 // root of the scanner lid
	gamma            float64 // of ink to tone
	slope            float64 // lighting, relative over the bed
	curlMM           float64
	bends            [2][6]float64
	noise, grain     float64
	blurMM           float64 // of the print: light that creeps under the film
	dust             int
	brushMM          float64 // how far ragged edges eat into the page
	missing          []string
	discs            int     // round things that are no marks
	film             *ground // the page as drawn; nil: as these tests draw it
}

// badScan draws bad cases at random.
func badScan(seed uint64, page *chart.Page) bad {
	r := rand.New(rand.NewPCG(seed, 1))
	b := bad{seed: seed, light: r.IntN(5) > 0, mirrored: r.IntN(6) == 0}
	b.pxPerMM = []float64{150, 200, 300, 300, 400}[r.IntN(5)] / 25.4
	if fine := r.IntN(8) == 0; fine && page.WidthMM < 130 {
		b.pxPerMM = []float64{600, 1200}[r.IntN(2)] / 25.4
	}
	b.turn = 90*float64(r.IntN(4)) + 20*r.Float64() - 10
	b.shrinkX = 0.98 + 0.02*r.Float64()
	b.shrinkY = b.shrinkX * (0.98 + 0.04*r.Float64())
	reachMM := math.Hypot(page.WidthMM, page.HeightMM)
	sin, cos := math.Sincos(b.turn * math.Pi / 180)
	needW := math.Abs(cos)*page.WidthMM + math.Abs(sin)*page.HeightMM + 2
	needH := math.Abs(sin)*page.WidthMM + math.Abs(cos)*page.HeightMM + 2
	room := []float64{0, 0.1, 0.7}[r.IntN(3)]
	b.bedWMM, b.bedHMM = min(430, needW+room*reachMM*r.Float64()), min(430, needH+room*reachMM*r.Float64())
	b.bedWMM, b.bedHMM = max(b.bedWMM, needW), max(b.bedHMM, needH)
	b.offX, b.offY = r.Float64(), r.Float64()
	density := 0.9 + 0.7*r.Float64()
	b.paper = 0.9 + 0.05*r.Float64()
	b.lid = []float64{0.05, 0.5, 0.97}[r.IntN(3)]
	b.black = b.paper * math.Pow(10, -density/2)
	b.white = b.black + (b.paper-b.black)*(0.5+0.5*r.Float64())
	if !b.light {
		b.black, b.white = b.white, b.black
	}
	b.gamma = 0.5 + 1.5*r.Float64()
	b.slope = 0.15 * r.Float64()
	b.curlMM = r.Float64()
	b.setCurl()
	b.noise, b.grain = 0.02*r.Float64(), 0.04*r.Float64()
	b.dust, b.discs = r.IntN(60), r.IntN(12)
	if r.IntN(2) == 0 {
		b.brushMM = 9 * r.Float64()
	}
	for range r.IntN(4) {
		b.missing = append(b.missing, page.Marks[r.IntN(len(page.Marks))].ID)
	}
	b.blurMM = 0.3 * r.Float64()
	return b
}

// map0 returns the straight-line part of how the page lies in the scan.
func (b *bad) map0(page *chart.Page) Affine {
	sin, cos := math.Sincos(b.turn * math.Pi / 180)
	side := 1.0
	if b.mirrored {
		side = -1
	}
	sx, sy := b.pxPerMM*b.shrinkX*side, b.pxPerMM*b.shrinkY
	a := Affine{XX: cos * sx, XY: -sin * sy, YX: sin * sx, YY: cos * sy}
	middle := a.ToPlane(page.WidthMM/2, page.HeightMM/2)
	halfW := (math.Abs(cos)*page.WidthMM + math.Abs(sin)*page.HeightMM) / 2
	halfH := (math.Abs(sin)*page.WidthMM + math.Abs(cos)*page.HeightMM) / 2
	a.X0 = (halfW+b.offX*(b.bedWMM-2*halfW))*b.pxPerMM - middle.X
	a.Y0 = (halfH+b.offY*(b.bedHMM-2*halfH))*b.pxPerMM - middle.Y
	return a
}

// curlShapes are the smooth ways in which paper leaves its plane, for places
// from -1 to 1 across and down.
func curlShapes(s, t float64) [6]float64 {
	return [6]float64{s * s, t * t, s * t, s * s * s, t * t * t, s * s * t}
}

// setCurl draws a curl that reaches curlMM.
func (b *bad) setCurl() {
	r := rand.New(rand.NewPCG(b.seed, 3))
	for axis := range b.bends {
		for i := range b.bends[axis] {
			b.bends[axis][i] = r.Float64()*2 - 1
		}
		most := 0.0
		for i := range 11 {
			for j := range 11 {
				most = max(most, math.Abs(b.bent(axis, float64(i)/5-1, float64(j)/5-1)))
			}
		}
		for i := range b.bends[axis] {
			b.bends[axis][i] *= b.curlMM / most
		}
	}
}

func (b *bad) bent(axis int, s, t float64) float64 {
	sum := 0.0
	for i, shape := range curlShapes(s, t) {
		sum += b.bends[axis][i] * shape
	}
	return sum
}

// curl returns how far, in mm, the paper lies from where it lay on the film.
func (b *bad) curl(page *chart.Page, xMM, yMM float64) (dx, dy float64) {
	if b.curlMM == 0 {
		return 0, 0
	}
	s, t := 2*xMM/page.WidthMM-1, 2*yMM/page.HeightMM-1
	s, t = min(1.3, max(-1.3, s)), min(1.3, max(-1.3, t))
	return b.bent(0, s, t), b.bent(1, s, t)
}

// truth returns where a place of the page lies in the scan.
func (b *bad) truth(page *chart.Page, xMM, yMM float64) Point {
	to := b.map0(page)
	dx, dy := b.curl(page, xMM, yMM)
	return to.ToPlane(xMM+dx, yMM+dy)
}

// borderMM is how much of the paper beyond the film is drawn.
const borderMM = 10

// scan prints and scans a page.
func (b *bad) scan(page *chart.Page) *Plane {
	p := &Plane{Width: int(b.bedWMM * b.pxPerMM), Height: int(b.bedHMM * b.pxPerMM), Reduced: 1, PPI: b.pxPerMM * 25.4}
	p.Root = make([]uint16, p.Width*p.Height)
	print, to := b.print(page), b.map0(page)
	each(p.Height, func(y int) {
		r := rand.New(rand.NewPCG(b.seed, uint64(y)))
		for x := range p.Width {
			xMM, yMM := to.ToPage(Point{float64(x) + 0.5, float64(y) + 0.5})
			// The curl at the shifted place is that at the place itself, nearly.
			dx, dy := b.curl(page, xMM, yMM)
			dx, dy = b.curl(page, xMM-dx, yMM-dy)
			root, on := print.at(xMM-dx+borderMM, yMM-dy+borderMM)
			if !on {
				root = b.lid
			}
			light := 1 + b.slope*(float64(x)/float64(p.Width)-float64(y)/float64(p.Height))/2
			root = root*math.Sqrt(light) + b.noise*r.NormFloat64()
			p.Root[y*p.Width+x] = uint16(65535 * min(1, max(0, root)))
		}
	})
	return p
}

// print returns the root of Y of the whole print, borderMM of paper about it.
func (b *bad) print(page *chart.Page) *ground {
	film := b.film
	if film == nil {
		film = drawGround(page)
	}
	r := rand.New(rand.NewPCG(b.seed, 2))
	g := &ground{width: film.width + 2*borderMM*groundPerMM, height: film.height + 2*borderMM*groundPerMM}
	g.v = make([]float32, g.width*g.height)
	tones := make([]float32, 256)
	for i := range tones {
		tones[i] = float32(b.black + (b.white-b.black)*math.Pow(float64(i)/255, b.gamma))
	}
	for y := range g.height {
		for x := range g.width {
			fx, fy := x-borderMM*groundPerMM, y-borderMM*groundPerMM
			v := tones[0] // light reaches the coating all round the film
			if fx >= 0 && fy >= 0 && fx < film.width && fy < film.height {
				v = tones[int(film.v[fy*film.width+fx]*255+0.5)]
			}
			g.v[y*g.width+x] = v
		}
	}
	g.blur(b.blurMM)
	b.smear(page, g, r)
	b.brush(page, g, r)
	grain := make([]float32, 1<<18)
	for i := range grain {
		grain[i] = float32(b.grain * r.NormFloat64())
	}
	for i := range g.v { // cells of a quarter millimetre
		x, y := i%g.width/2, i/g.width/2
		g.v[i] += grain[(y*773+x)&(1<<18-1)]
	}
	return g
}

// smear puts dust, round things and the loss of marks onto a print.
func (b *bad) smear(page *chart.Page, g *ground, r *rand.Rand) {
	disc := func(x, y, diameter, root float64) {
		g.disc(x+borderMM, y+borderMM, diameter/2, float32(root))
	}
	for range b.dust {
		disc(r.Float64()*page.WidthMM, r.Float64()*page.HeightMM, 0.3+0.7*r.Float64(), b.white)
	}
	for range b.discs { // with another in them, the more so to mislead
		x, y, d := r.Float64()*page.WidthMM, r.Float64()*page.HeightMM, 2+6*r.Float64()
		disc(x, y, d, b.white)
		disc(x, y, d*0.55, b.black)
	}
	for _, id := range b.missing {
		for _, m := range page.Marks {
			if m.ID == id {
				disc(m.XMM, m.YMM, m.DiameterMM*1.1, []float64{b.white, b.black, b.paper}[r.IntN(3)])
			}
		}
	}
}

// brush leaves the paper bare where the brush did not go.
func (b *bad) brush(page *chart.Page, g *ground, r *rand.Rand) {
	if b.brushMM == 0 {
		return
	}
	var phases [4]float64
	for i := range phases {
		phases[i] = 6 * r.Float64()
	}
	for y := range g.height {
		for x := range g.width {
			xMM, yMM := (float64(x)+0.5)/groundPerMM-borderMM, (float64(y)+0.5)/groundPerMM-borderMM
			inX, inY := min(xMM, page.WidthMM-xMM), min(yMM, page.HeightMM-yMM)
			if inX > b.brushMM && inY > b.brushMM {
				continue
			}
			if b.bare(xMM, yMM, page, phases) {
				g.v[y*g.width+x] = float32(b.paper)
			}
		}
	}
}

// bare reports whether a place near the edge stayed uncoated.
func (b *bad) bare(xMM, yMM float64, page *chart.Page, phases [4]float64) bool {
	wave := func(t, phase float64) float64 {
		return b.brushMM * (0.4 + 0.6*math.Sin(t/9+phase)*math.Sin(t/23+2*phase))
	}
	return xMM < wave(yMM, phases[0]) || yMM < wave(xMM, phases[1]) ||
		xMM > page.WidthMM-wave(yMM, phases[2]) || yMM > page.HeightMM-wave(xMM, phases[3])
}
