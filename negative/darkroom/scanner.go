package darkroom

import (
	"context"
	"io"
	"math"
	"runtime"
	"sync"

	"actinic/negative/raster"
	"actinic/process/density"
)

// ScannerOptions say how a print is scanned and what the wet process did to
// its paper. The zero value but for PPI is a perfect scan, 8-bit grey, of a
// sheet that lies straight on a bed of its own size.
type ScannerOptions struct {
	PPI      float64
	Channels int // 1 for grey, 3 for RGB; 0 is 1
	Bits     int // 8 or 16; 0 is 8

	// BedWidthMM and BedHeightMM are the scanned area; 0 is that of the sheet as
	// it lies and 5 mm around it.
	BedWidthMM, BedHeightMM float64
	// The sheet's middle lies OffsetXMM, OffsetYMM from the bed's middle; the sheet
	// is turned clockwise by AngleDegrees, quarter turns included.
	OffsetXMM, OffsetYMM, AngleDegrees float64
	// ShrinkX and ShrinkY are the shares of its width and height, as the page is
	// seen, that the paper lost; below zero it grew.
	ShrinkX, ShrinkY float64
	CurlMM           float64 // the most that curl displaces any place, smoothly

	Lighting  float64 // the most that the light departs anywhere, as a share
	BlurMM    float64 // standard deviation of the lens's blur
	Flare     float64 // share of the light that is spread over all of the bed
	NearFlare float64 // share that is spread over some millimetres
	Noise     float64 // standard deviation at white, of luminance 0 to 1; less in the dark
	Dust      int     // specks on the glass

	// Black and White are the luminances that become the lowest and the highest
	// code; what lies beyond is clipped. White 0 is 1.
	Black, White float64
	Linear       bool              // codes are linear in light; sRGB otherwise
	Lid          density.Lightness // what the scanner sees beside the sheet; 0 is a black lid
	Unstated     bool              // the file gives no resolution
	Seed         uint64
}

// TypicalScan returns a scan at 300 ppi by an ordinary flatbed, 16-bit RGB: the
// sheet a few degrees askew, paper shrunk unevenly by up to 1 %, light uneven by
// 1 %, and some dust on the glass.
func TypicalScan(seed uint64) ScannerOptions {
	rng := Random(seed, 3001)
	return ScannerOptions{
		PPI: 300, Channels: 3, Bits: 16,
		AngleDegrees: between(rng, -3, 3),
		ShrinkX:      between(rng, 0, 0.01), ShrinkY: between(rng, 0, 0.01),
		CurlMM: 0.3, Lighting: 0.01, BlurMM: 0.04, Noise: 0.005,
		Dust: 20, Lid: 95, Seed: seed,
	}
}

// Scanned is a print being scanned: a raster.Source that works its rows out as
// they are read. It holds 4 bytes a pixel of the print.
type Scanned struct {
	header raster.Header
	place  placement
	light  scanLight
	codes  encoder
	next   int
}

var _ raster.Source = (*Scanned)(nil)

// Scan lays a print on the glass. The same print and options give the same rows
// on any number of processors. It panics when PPI, Channels or Bits are none
// that ScannerOptions knows.
func Scan(p *ContactPrint, o ScannerOptions) *Scanned {
	o = o.filled()
	place := newPlacement(p, o)
	pixelMM := 25.4 / o.PPI
	s := &Scanned{place: place}
	s.header = raster.Header{
		Width: int(math.Round(place.bedWidthMM / pixelMM)), Height: int(math.Round(place.bedHeightMM / pixelMM)),
		Channels: o.Channels, Bits: o.Bits, Orientation: 1, Format: "TIFF", BandRows: 16,
	}
	if !o.Unstated {
		s.header.PPIX, s.header.PPIY = o.PPI, o.PPI
	}
	s.light = newScanLight(p, o, &s.place)
	s.codes = newEncoder(p.Hue, o)
	s.header.HeldBytes = 4 * int64(len(p.L))
	return s
}

func (o ScannerOptions) filled() ScannerOptions {
	if o.Channels == 0 {
		o.Channels = 1
	}
	if o.Bits == 0 {
		o.Bits = 8
	}
	if o.White == 0 {
		o.White = 1
	}
	if !(o.PPI > 0) || o.Channels != 1 && o.Channels != 3 || o.Bits != 8 && o.Bits != 16 {
		panic("darkroom: a scanner needs PPI, 1 or 3 channels, and 8 or 16 bits")
	}
	return o
}

// Header describes the scan's file.
func (s *Scanned) Header() raster.Header { return s.header }

// ReadRows scans the next rows.
func (s *Scanned) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	n := min(len(dst), s.header.Height-s.next)
	if n <= 0 {
		return 0, io.EOF
	}
	first := s.next
	workers := min(runtime.GOMAXPROCS(0), n)
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			line := newScanLine(s.header.Width)
			for i := w; i < n; i += workers {
				s.light.row(line, first+i, &s.place)
				s.codes.row(dst[i], line.y, first+i)
			}
		})
	}
	wait.Wait()
	s.next += n
	return n, nil
}

// Restart begins the scan again.
func (s *Scanned) Restart() error { s.next = 0; return nil }

// Again returns the same scan from its first row, for another reader. The two
// share what they hold.
func (s *Scanned) Again() *Scanned {
	other := *s
	other.next = 0
	return &other
}

// Close does nothing.
func (s *Scanned) Close() error { return nil }

// PixelOf returns where in the scan a place on the print lies, millimetres as
// ContactPrint counts them, in pixels: the middle of the first is 0.5, 0.5.
func (s *Scanned) PixelOf(xMM, yMM float64) (x, y float64) {
	bx, by := s.place.onBed(xMM, yMM)
	return bx / s.place.pixelMM, by / s.place.pixelMM
}
