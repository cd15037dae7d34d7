package scan

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// noisy is a picture of random samples.
func noisy(width, height, channels int, seed uint64) *picture {
	random := rand.New(rand.NewPCG(seed, 1))
	s := &picture{head: raster.Header{Width: width, Height: height, Channels: channels, Bits: 16, PPIX: 300, PPIY: 300, Orientation: 1, BandRows: 1}}
	s.samples = make([]uint16, width*height*channels)
	for i := range s.samples {
		s.samples[i] = uint16(random.Uint32())
	}
	return s
}

// The plane does not depend on how many cores read it.
func TestLoadIsTheSameOnAnyNumberOfCores(t *testing.T) {
	for _, channels := range []int{1, 3} {
		data := noisy(301, 1707, channels, 4).tiff(t)
		in := ofBytes("scan.tif", data)
		want, err := load(context.Background(), in, &Options{Jobs: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, jobs := range []int{2, 3, 8} {
			got, err := load(context.Background(), in, &Options{Jobs: jobs})
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got.plane, want.plane) || !reflect.DeepEqual(got.clip, want.clip) || !reflect.DeepEqual(got.thumb, want.thumb) {
				t.Errorf("%d channels: %d cores load another plane than one", channels, jobs)
			}
		}
	}
}

// A plane that is reduced holds the mean light of the pixels it stands for.
func TestReducedPlaneHoldsMeanLight(t *testing.T) {
	s := noisy(61, 47, 3, 9)
	light, err := lightOf("x", s.head, &Options{})
	if err != nil {
		t.Fatal(err)
	}
	l := newLoader(s.input("x"), s.head, light, &Options{})
	k := 3
	l.plane = &Plane{Width: 61 / k, Height: 47 / k, Reduced: k, Root: make([]uint16, (61/k)*(47/k))}
	l.clip, l.thumb = newClipping(61/k, 47/k), newThumbnail(61, 47, k, 3)
	src, _ := s.input("x").Open()
	if err := l.run(context.Background(), src); err != nil {
		t.Fatal(err)
	}
	row := make([]float32, 61)
	for y := range l.plane.Height {
		for x := range l.plane.Width {
			sum := 0.0
			for i := range k {
				light.row(row, s.samples[(y*k+i)*61*3:])
				for j := range k {
					sum += float64(row[x*k+j])
				}
			}
			if got, want := l.plane.At(x, y), sum/float64(k*k); got < want-1e-4 || got > want+1e-4 {
				t.Fatalf("pixel %d, %d: %v, want %v", x, y, got, want)
			}
		}
	}
}

func TestReductionKeepsPlanesSmall(t *testing.T) {
	for _, size := range [][2]int{{4960, 7016}, {9921, 14032}, {14031, 19843}, {1, 1 << 20}, {3, 1 << 20}, {60000, 700}, {30000, 30000}} {
		k := reduction(size[0], size[1], mostPlanePixels, 1)
		n := (size[0] / k) * (size[1] / k)
		if n > mostPlanePixels || n < 1 || k > 1 && (size[0]/(k-1))*(size[1]/(k-1)) <= mostPlanePixels {
			t.Errorf("%v is reduced by %d to %d pixels", size, k, n)
		}
	}
}

func TestLoadRefusesWhatNeedsTooMuchMemory(t *testing.T) {
	for _, h := range []raster.Header{
		{Width: 40000, Height: 40000, Channels: 3, Bits: 8},
		{Width: 20000, Height: 30000, Channels: 3, Bits: 8, HeldBytes: 3 << 30},
	} {
		opened := 0
		in := Input{Name: "big.tif", Open: func() (raster.Source, error) { opened++; return &picture{head: h}, nil }}
		_, err := load(context.Background(), in, &Options{})
		var f *fault.Error
		if !errors.As(err, &f) || f.Hint == "" || f.File != "big.tif" {
			t.Errorf("%d x %d: %v", h.Width, h.Height, err)
		}
	}
}

// A file that ends in the middle is an error that names it, whatever core met it.
func TestLoadOfADamagedFile(t *testing.T) {
	data := noisy(200, 900, 3, 4).tiff(t)
	copy(data[len(data)/2:], bytes.Repeat([]byte{0xaa}, len(data)/4))
	for _, jobs := range []int{1, 4} {
		_, err := load(context.Background(), ofBytes("scan.tif", data), &Options{Jobs: jobs})
		var f *fault.Error
		if !errors.As(err, &f) || f.File != "scan.tif" {
			t.Errorf("%d cores: %v", jobs, err)
		}
	}
}

func TestClippingTurnsOver(t *testing.T) {
	for _, width := range []int{1, 63, 64, 65, 130} {
		c := newClipping(width, 2)
		random := rand.New(rand.NewPCG(uint64(width), 2))
		want := make([]bool, 2*width)
		for y := range 2 {
			row := make([]uint16, width)
			for x := range row {
				row[x] = uint16(30000)
				if want[y*width+width-1-x] = random.IntN(2) == 0; want[y*width+width-1-x] {
					row[x] = 65535
				}
			}
			c.take(y, row, 1, 1)
		}
		c.turnOver()
		for y := range 2 {
			for x := range width {
				if high, _ := c.at(x, y); high != want[y*width+x] {
					t.Fatalf("width %d: pixel %d, %d is %v", width, x, y, high)
				}
			}
		}
	}
}

// TestScansInOtherColours: inks and L*a*b* are refused, said to be taken as linear
// or not.
func TestScansInOtherColours(t *testing.T) {
	for space, channels := range map[raster.Space]int{raster.Inks: 4, raster.Lightness: 1} {
		s := noisy(40, 30, channels, 4)
		s.head.Space = space
		for _, linear := range []bool{false, true} {
			_, err := load(context.Background(), s.input("scan.tif"), &Options{Linear: linear})
			var f *fault.Error
			if !errors.As(err, &f) || f.File != "scan.tif" || f.Hint == "" || !strings.Contains(f.What, "expected grey or RGB") {
				t.Errorf("space %d, linear %v: %v", space, linear, err)
			}
		}
	}
}
