package tone

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

func idle(context.Context, int, int) error { return nil }

// Pieces are begun and finished in order, each once; of several errors the first
// is returned, and nothing after it is finished.
func TestInOrder(t *testing.T) {
	before := runtime.NumGoroutine()
	rapid.Check(t, func(r *rapid.T) {
		workers, n := rapid.IntRange(1, 5).Draw(r, "workers"), rapid.IntRange(0, 40).Draw(r, "n")
		from := rapid.IntRange(0, 9).Draw(r, "from")
		bad := rapid.SliceOf(rapid.IntRange(from, from+40)).Draw(r, "bad")
		place, fails := rapid.IntRange(0, 2).Draw(r, "place"), map[int]bool{}
		first := from + n
		for _, k := range bad {
			fails[k] = true
			first = min(first, k)
		}
		step := func(here int) func(int) error {
			return func(k int) error {
				if here == place && fails[k] {
					return fmt.Errorf("%d", k)
				}
				return nil
			}
		}
		begun := from
		var done, inHand atomic.Int64
		done.Store(int64(from))
		begin, work, finish := step(0), step(1), step(2)
		err := inOrder(context.Background(), workers, span{from, from + n}, steps{
			begin: func(_ context.Context, _, k int) error {
				if ahead := k - int(done.Load()); k != begun || ahead >= slotsOf(workers) {
					return fmt.Errorf("begun %d after %d, %d ahead", k, begun, ahead)
				}
				begun++
				return begin(k)
			},
			work: func(_ context.Context, _, k int) error { inHand.Add(1); return work(k) },
			finish: func(_ context.Context, k int) error {
				if next := int(done.Load()); k != next {
					return fmt.Errorf("finished %d, not %d", k, next)
				}
				if err := finish(k); err != nil {
					return err
				}
				done.Add(1)
				return nil
			},
		})
		want := ""
		if first < from+n {
			want = fmt.Sprint(first)
		}
		if got := fmt.Sprint(err); err == nil && want != "" || err != nil && got != want || int(done.Load()) != first {
			t.Fatalf("error %v, want %q; finished up to %d, want %d", err, want, done.Load(), first)
		}
		if int(inHand.Load()) < first-from {
			t.Fatalf("%d pieces worked on, %d finished", inHand.Load(), first-from)
		}
	})
	noneLeft(t, before)
}

// A panic of a worker reaches the caller with its own text, and ends the others.
func TestInOrderPanics(t *testing.T) {
	before := runtime.NumGoroutine()
	for _, workers := range []int{1, 3} {
		func() {
			defer func() {
				if v := recover(); v == nil || !strings.HasPrefix(fmt.Sprint(v), "piece 5 is odd") {
					t.Errorf("%d workers: recovered %v", workers, v)
				}
			}()
			inOrder(t.Context(), workers, span{0, 90}, steps{begin: idle, finish: func(context.Context, int) error { return nil },
				work: func(_ context.Context, _, k int) error {
					if k == 5 {
						panic("piece 5 is odd")
					}
					return nil
				}})
		}()
	}
	noneLeft(t, before)
}

// Cancelled while all workers wait, it returns.
func TestInOrderCancelled(t *testing.T) {
	before := runtime.NumGoroutine()
	ctx, cancel := context.WithCancel(t.Context())
	var waiting atomic.Int64
	err := inOrder(ctx, 3, span{0, 9}, steps{begin: idle, finish: func(context.Context, int) error { return nil },
		work: func(ctx context.Context, _, _ int) error {
			if waiting.Add(1) == 3 {
				cancel()
			}
			<-ctx.Done()
			return ctx.Err()
		}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	noneLeft(t, before)
}

// What goes through a relay is done in order.
func TestRelay(t *testing.T) {
	next, r := 0, newRelay(slotsOf(4))
	err := inOrder(t.Context(), 4, span{0, 500}, steps{begin: idle, finish: func(context.Context, int) error { return nil },
		work: func(ctx context.Context, _, k int) error {
			return r.leg(ctx, k, func() {
				if next != k {
					t.Errorf("%d came when %d was due", k, next)
				}
				next = k + 1
			})
		}})
	if err != nil || next != 500 {
		t.Errorf("%v after %d", err, next)
	}
}
