package darkroom_test

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/negative/raster"
	"actinic/negative/scan"
)

// BenchmarkReadA4 reads an A4 ramp chart from a 16-bit colour TIFF of 600 ppi,
// about 35 million pixels, written once as scanners do.
//
//	go test ./negative/darkroom -run XXX -bench ReadA4
func BenchmarkReadA4(b *testing.B) {
	c, path := scanFile(b)
	in := []scan.Input{{Name: path, Open: func() (raster.Source, error) { return raster.Open(path) }}}
	runtime.GC()
	peak, stop := watchHeap()
	for b.Loop() {
		if _, err := scan.Read(context.Background(), in, c, nil); err != nil {
			b.Fatal(err)
		}
	}
	stop()
	b.ReportMetric(float64(peak.Load())/1e6, "peak-MB")
}

// scanFile prints a ramp chart, scans it and returns the scan's file.
func scanFile(b *testing.B) (*chart.Chart, string) {
	b.Helper()
	c, err := chart.NewRamp(chart.RampOptions{Levels: loopLevels, Repeats: loopRepeats,
		Sheet: chart.Sheet{WidthMM: a4Width, HeightMM: a4Height, MarginMM: printerMarginMM, PPI: 180, Mirrored: true, Seed: 1}})
	if err != nil {
		b.Fatal(err)
	}
	s := darkroom.NewSetup(1, darkroom.Probit, darkroom.Smooth)
	frame := darkroom.TypicalFrame(1, 180)
	frame.BeyondMM, frame.Hue = 0, darkroom.Blue
	print, err := s.Contact(onFilm{chart.Draw(c, 0)}, frame)
	if err != nil {
		b.Fatal(err)
	}
	glass := darkroom.Scan(print, darkroom.ScannerOptions{PPI: 600, Channels: 3, Bits: 16,
		BedWidthMM: a4Width, BedHeightMM: a4Height, AngleDegrees: 1, Noise: 0.005})
	f, err := os.Create(filepath.Join(b.TempDir(), "scan.tif"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	sink, err := raster.NewTIFF(f, glass.Header(), nil)
	if err != nil {
		b.Fatal(err)
	}
	if err := raster.Copy(context.Background(), sink, glass); err != nil {
		b.Fatal(err)
	}
	if err := sink.Commit(); err != nil {
		b.Fatal(err)
	}
	b.Logf("%d x %d pixels", glass.Header().Width, glass.Header().Height)
	return c, f.Name()
}

// watchHeap notes the most memory that the program holds until stop.
func watchHeap() (peak *atomic.Uint64, stop func()) {
	peak = new(atomic.Uint64)
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			peak.Store(max(peak.Load(), m.Sys-m.HeapReleased))
			select {
			case <-done:
				return
			case <-time.After(10 * time.Millisecond):
			}
		}
	}()
	return peak, func() { close(done); <-ended }
}
