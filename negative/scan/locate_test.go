package scan

import (
	"flag"
	"math"
	"slices"
	"testing"
	"time"

	"actinic/negative/chart"
)

var (
	scansFlag = flag.Int("locate-scans", 2, "bad scans of TestLocateBadScans and TestLocateCharts; the figures count from 300 on")
	seedFlag  = flag.Uint64("locate-seed", 1, "first seed of their scans")
)

// sheetsMM are sheets of the trade: 4x5in, 5x7in, A5, A4, 11x14in, A3.
var sheetsMM = [][2]float64{{101.6, 127}, {127, 177.8}, {148, 210}, {210, 297}, {279.4, 355.6}, {297, 420}}

// tally counts what came of many scans.
type tally struct {
	scans, lost, wrong, coded int
	rmsMM                     []float64
	spent                     time.Duration
}

// TestLocateBadScans locates pages in scans with everything wrong at once, by
// their codes and, with the codes left out, by their marks alone. A page located
// wrongly is an error always; now and then one may not be found, and the message
// says which marks are missing. No outside source: the degrader is the tests'
// own, and shares no code with what it tests.
//
// The figures: go test ./negative/scan -run '^TestLocateBadScans$' -v -locate-scans 300 -locate-seed 5000
func TestLocateBadScans(t *testing.T) {
	var coded, bare tally
	for i := range *scansFlag {
		seed := *seedFlag + uint64(i)
		size := sheetsMM[int(seed)%len(sheetsMM)]
		c := testChart(size[0], size[1], seed)
		b := badScan(seed, &c.Pages[0])
		p := b.scan(&c.Pages[0])
		coded.add(t, p, c, 0, &b)
		bare.add(t, p, withoutCode(c), 0, &b)
	}
	coded.report(t, "with the code", 0.03)
	bare.report(t, "by marks alone", 0.05)
}

// withoutCode returns the chart as if its pages had no code.
func withoutCode(c *chart.Chart) *chart.Chart {
	d := *c
	d.Pages = slices.Clone(c.Pages)
	for i := range d.Pages {
		d.Pages[i].CodeBox = nil
	}
	return &d
}

func (y *tally) add(t *testing.T, p *Plane, c *chart.Chart, n int, b *bad) {
	t.Helper()
	page := &c.Pages[n]
	start := time.Now()
	l, err := Locate(p, c)
	y.spent += time.Since(start)
	if y.scans++; err != nil {
		y.lost++
		t.Logf("seed %d: %.0fx%.0f mm at %.0f ppi, turn %.1f, brush %.1f, missing %v: %v", b.seed, page.WidthMM, page.HeightMM, b.pxPerMM*25.4, b.turn, b.brushMM, b.missing, err)
		return
	}
	rms, most := misplaced(l, page, b)
	y.rmsMM = append(y.rmsMM, rms)
	if l.CodeRead {
		y.coded++
	}
	if most > 1.5 || l.Mirrored != b.mirrored || l.Page != n {
		y.wrong++
		t.Errorf("seed %d: located wrongly, %.2f mm off at most, mirrored %v want %v, page %d want %d", b.seed, most, l.Mirrored, b.mirrored, l.Page, n)
	}
}

// misplaced returns by how much, in mm, patches are misplaced: rms and most.
func misplaced(l *Located, page *chart.Page, b *bad) (rms, most float64) {
	var sum float64
	for _, p := range page.Patches {
		x, y := p.XMM+p.WidthMM/2, p.YMM+p.HeightMM/2
		at, is := l.Warp.ToPlane(x, y), b.truth(page, x, y)
		d := math.Hypot(at.X-is.X, at.Y-is.Y) / b.pxPerMM
		sum, most = sum+d*d, max(most, d)
	}
	return math.Sqrt(sum / max(1, float64(len(page.Patches)))), most
}

func (y *tally) report(t *testing.T, how string, mostLost float64) {
	t.Helper()
	t.Logf("%s: %d scans, %d not found, %d wrong, %d codes read, %v each", how, y.scans, y.lost, y.wrong, y.coded, y.spent/time.Duration(y.scans))
	if float64(y.lost) > math.Ceil(mostLost*float64(y.scans)) {
		t.Errorf("%d of %d not found", y.lost, y.scans)
	}
	slices.Sort(y.rmsMM)
	n := len(y.rmsMM)
	if n == 0 {
		return
	}
	t.Logf("patches misplaced by rms: median %.3f mm, 95 %% %.3f, most %.3f", y.rmsMM[n/2], y.rmsMM[n*95/100], y.rmsMM[n-1])
	// The aim is 0.25 mm with a curl of 1 mm.
	if y.rmsMM[n*95/100] > 0.25 {
		t.Errorf("misplaced by %.3f mm at 95 %%, want 0.25", y.rmsMM[n*95/100])
	}
}
