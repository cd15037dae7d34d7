package batch

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"

	"actinic/negative/raster"
	"actinic/negative/tone"

	"pgregory.net/rapid"
)

// However large the pictures are, those in hand never take more than the memory
// together, unless one alone does, and are never more than the jobs.
func TestGateKeepsItsBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs := rapid.IntRange(1, 8).Draw(t, "jobs")
		memory := rapid.Int64Range(1, 1000).Draw(t, "memory")
		sizes := rapid.SliceOfN(rapid.Int64Range(0, 1200), 1, 40).Draw(t, "sizes")
		g := newGate(jobs, memory)
		var inHand, used atomic.Int64
		var wait sync.WaitGroup
		for _, size := range sizes {
			if err := g.enter(context.Background(), size); err != nil {
				t.Fatal(err)
			}
			n, u := inHand.Add(1), used.Add(size)
			if n > int64(jobs) || u > memory && n > 1 {
				t.Fatalf("%d in hand take %d; allowed are %d and %d", n, u, jobs, memory)
			}
			wait.Go(func() {
				for range rand.IntN(50) {
					runtime.Gosched()
				}
				used.Add(-size)
				inHand.Add(-1)
				g.leave(size)
			})
		}
		wait.Wait()
	})
}

// A large picture waits for room, and those behind it wait with it.
func TestGateLetsALargePictureThrough(t *testing.T) {
	g := newGate(4, 100)
	ctx := context.Background()
	for range 2 {
		if err := g.enter(ctx, 30); err != nil {
			t.Fatal(err)
		}
	}
	order := make(chan string, 2)
	go func() {
		for _, p := range []struct {
			name  string
			bytes int64
		}{{"large", 100}, {"small", 10}} {
			_ = g.enter(ctx, p.bytes)
			order <- p.name
			g.leave(p.bytes)
		}
	}()
	select {
	case name := <-order:
		t.Fatalf("%s is in before there is room", name)
	default:
	}
	g.leave(30)
	g.leave(30)
	if first, second := <-order, <-order; first != "large" || second != "small" {
		t.Errorf("%s, then %s", first, second)
	}
}

func TestGateEndsWithItsContext(t *testing.T) {
	g := newGate(1, 100)
	if err := g.enter(context.Background(), 10); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := g.enter(ctx, 10); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

// The cores are divided by the pictures that can be in hand together.
func TestCoresAreShared(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(8))
	for _, test := range []struct {
		jobs, remaining int
		bytes, want     int64
	}{
		{8, 100, 10, 1}, {8, 1, 10, 8}, {8, 2, 10, 4}, {2, 100, 10, 4}, {3, 100, 10, 2}, {1, 100, 10, 8},
		{8, 100, 600, 8}, {8, 100, 400, 4}, {8, 100, 2000, 8}, {16, 100, 10, 1},
	} {
		if got := newGate(test.jobs, 1000).cores(test.bytes, test.remaining); got != int(test.want) {
			t.Errorf("%+v: %d cores", test, got)
		}
	}
}

func TestRoundUp(t *testing.T) {
	for bytes, want := range map[int64]string{1: "64MiB", 64 << 20: "64MiB", 65 << 20: "128MiB", 1 << 30: "1024MiB", 1<<30 + 1: "2GiB", 5 << 30: "5GiB"} {
		if got := roundUp(bytes); got != want {
			t.Errorf("%d: %s, want %s", bytes, got, want)
		}
	}
}

// A picture that must be turned is held in less memory, in more passes, where it
// would not fit; the film is the same.
func TestFitTakesMorePasses(t *testing.T) {
	dir := t.TempDir()
	in := filepath.Join(dir, "a.tif")
	grainy(t, in, 3000, 2500)
	r := &Recipe{Curve: straight{}, Tone: tone.Options{Rotate: 90}}
	task := func(film string) Task { return Task{In: in, Out: filepath.Join(dir, film), Rel: "a.tif"} }
	whole := r.survey(task("x.tif"), 1)
	if whole.err != nil || whole.bytes < 2*3000*2500 {
		t.Fatalf("%+v", whole)
	}
	g := newGate(1, whole.bytes-1<<20)
	fitted, s := r.fit(task("x.tif"), whole, 1, g, 2)
	if s.err != nil || s.bytes > g.memory || fitted.Tone.HeldBytes >= tone.DefaultHeldBytes {
		t.Errorf("%+v with %d bytes held, allowed %d", s, fitted.Tone.HeldBytes, g.memory)
	}
	var films [2]string
	for i, memory := range []int64{0, g.memory} {
		out := fmt.Sprintf("%d.tif", i)
		w := &watched{t: t}
		r.Run(context.Background(), []Task{task(out)}, RunOptions{Jobs: 1, Memory: memory, Watch: w})
		if w.words() != "made" {
			t.Fatal(w.outcomes)
		}
		films[i] = tree(t, dir)[out]
	}
	if films[0] != films[1] {
		t.Error("the films differ")
	}
}

// grainy writes a grey TIFF of 16 bits.
func grainy(t *testing.T, path string, width, height int) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	h := raster.Header{Width: width, Height: height, Channels: 1, Bits: 16, Orientation: 1}
	sink, err := raster.NewTIFF(f, h, &raster.TIFFOptions{Compression: raster.NoCompression})
	if err != nil {
		t.Fatal(err)
	}
	band := raster.NewBand(h, 1)
	grain := rand.New(rand.NewPCG(1, 2))
	for range height {
		for x := range band[0] {
			band[0][x] = uint16(grain.Uint32())
		}
		if err := sink.WriteRows(context.Background(), band); err != nil {
			t.Fatal(err)
		}
	}
	if err := sink.Commit(); err != nil {
		t.Fatal(err)
	}
}
