package scan

import (
	"context"
	"fmt"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// Input is one scan. Open may be called several times, for several cores; each
// source is closed by this package.
type Input struct {
	Name string // for messages
	Open func() (raster.Source, error)
}

// Limits on what is held of a scan: working values of ours. At 600 ppi a sheet
// of A4 has 35 million pixels and is kept as it is.
const (
	mostPlanePixels = 40_000_000
	mostThumbPixels = 1_500_000
	// mostHeldBytes bounds pictures that can only be decoded whole.
	mostHeldBytes = 2 << 30
	// mostScanPixels is A3 at 2400 ppi and some more.
	mostScanPixels = 1_300_000_000
)

// loaded is one scan in memory.
type loaded struct {
	name    string
	header  raster.Header
	plane   *Plane
	clip    *clipping
	thumb   *thumbnail
	notices []string
}

// load reads a scan once, row by row, into a plane of luminance and a small
// picture in colour.
func load(ctx context.Context, in Input, o *Options) (*loaded, error) {
	src, err := in.Open()
	if err != nil {
		return nil, err
	}
	h := src.Header()
	if err := checkScan(in.Name, h); err != nil {
		src.Close()
		return nil, err
	}
	light, err := lightOf(in.Name, h, o)
	if err != nil {
		src.Close()
		return nil, err
	}
	l := newLoader(in, h, light, o)
	if err := l.run(ctx, src); err != nil {
		return nil, fault.InFile(err, in.Name)
	}
	if mirroredAsStored(h.Orientation) {
		l.turnOver()
	}
	return l.loaded, nil
}

// checkScan refuses what no scanner's own file is, and what would take more memory
// than a scan may.
func checkScan(name string, h raster.Header) error {
	if kind := notScanned[h.Space]; kind != "" {
		return fault.New(name, "", "its pixels are "+kind+", expected grey or RGB as a scanner measures it",
			"scan in grey or RGB and give that file: converting to another kind of colour changes tones")
	}
	if int64(h.Width)*int64(h.Height) > mostScanPixels {
		return fault.New(name, "", fmt.Sprintf("%d x %d pixels, more than a scan needs", h.Width, h.Height), "scan again at 300 to 600 ppi")
	}
	if h.HeldBytes > mostHeldBytes {
		return fault.New(name, "", fmt.Sprintf("reading it would take %d megabytes of memory", h.HeldBytes>>20),
			"save the scan as TIFF, which is read row by row, or scan again at 300 to 600 ppi")
	}
	return nil
}

var notScanned = map[raster.Space]string{raster.Inks: "inks (CMYK)", raster.Lightness: "L*a*b*"}

// loader fills the parts of a loaded scan.
type loader struct {
	*loaded
	open  func() (raster.Source, error)
	light *brightness
	jobs  int
}

func newLoader(in Input, h raster.Header, light *brightness, o *Options) *loader {
	k := reduction(h.Width, h.Height, mostPlanePixels, 1)
	t := reduction(h.Width, h.Height, mostThumbPixels, k)
	width, height := h.Width/k, h.Height/k
	l := &loaded{name: in.Name, header: h, notices: h.Notices}
	l.plane = &Plane{Width: width, Height: height, Reduced: k, PPI: statedPPI(h), Root: make([]uint16, width*height)}
	l.clip = newClipping(width, height)
	l.thumb = newThumbnail(h.Width, h.Height, t, h.Channels)
	l.thumb.linear = o.Linear
	return &loader{loaded: l, open: in.Open, light: light, jobs: o.Jobs}
}

// reduction returns the least multiple of step by which both sides are divided
// so that at most limit pixels remain.
func reduction(width, height, limit, step int) int {
	k := step
	for (width/k)*(height/k) > limit {
		k += step
	}
	return max(1, min(k, width, height))
}

// statedPPI is the resolution that both directions share; scanners that step
// the carriage more finely than the sensor write equal pixels all the same.
func statedPPI(h raster.Header) float64 {
	if h.PPIX <= 0 || h.PPIY <= 0 || h.PPIX/h.PPIY > 1.01 || h.PPIY/h.PPIX > 1.01 {
		return 0
	}
	return h.PPIX
}

// mirroredAsStored reports whether an orientation (TIFF 6.0, tag 274) holds a
// reflection. Turns need no help: the marks tell them.
func mirroredAsStored(orientation int) bool {
	switch orientation {
	case 2, 4, 5, 7:
		return true
	}
	return false
}

// turnOver mirrors what was loaded left to right.
func (l *loaded) turnOver() {
	p := l.plane
	for y := range p.Height {
		row := p.Root[y*p.Width : (y+1)*p.Width]
		for i, j := 0, len(row)-1; i < j; i, j = i+1, j-1 {
			row[i], row[j] = row[j], row[i]
		}
	}
	l.clip.turnOver()
	l.thumb.turnOver()
}

// lightOf returns how a scan's samples become light.
func lightOf(name string, h raster.Header, o *Options) (*brightness, error) {
	if o.Channel != All && h.Channels == 1 {
		return nil, fault.New(name, "", "a grey scan has no "+o.Channel.String()+" channel", "leave out --channel, or scan in colour")
	}
	lum, err := luminanceOf(name, h, o.Linear)
	if err != nil {
		return nil, err
	}
	return newBrightness(lum, o.Channel), nil
}
