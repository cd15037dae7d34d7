package batch

import (
	"context"
	"fmt"
	"runtime"

	"actinic/negative/tone"
	"actinic/process/fault"
)

// DefaultMemory bounds the pictures in hand where the user gives no bound: most
// machines that print have several times as much (a working value of ours).
const DefaultMemory = 1 << 30

// ProcessBytes is about what the program takes besides pictures: itself, the
// curve's tables, stacks (a working value of ours).
//
// The garbage collector lets memory grow to twice what is in use. A command that
// means to keep a bound sets debug.SetMemoryLimit to the bound plus
// ProcessBytes: then garbage is collected earlier when the bound is near, and
// not at all sooner when it is not.
const ProcessBytes = 32 << 20

// gate lets pictures in one after the other, as many at a time as jobs and
// memory allow. They are let in in their order: a large one waits until enough
// of those before it are done, and none goes past it meanwhile, so that it never
// waits for ever. One goroutine asks; any may leave.
type gate struct {
	jobs   int
	memory int64
	left   chan int64 // bytes of pictures that are done
	inHand int
	used   int64
}

func newGate(jobs int, memory int64) *gate {
	return &gate{jobs: jobs, memory: memory, left: make(chan int64, jobs)}
}

// enter waits for room for a picture, and takes it.
func (g *gate) enter(ctx context.Context, bytes int64) error {
	for g.inHand == g.jobs || g.inHand > 0 && g.used+bytes > g.memory {
		select {
		case b := <-g.left:
			g.inHand--
			g.used -= b
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	g.inHand++
	g.used += bytes
	return ctx.Err()
}

// leave gives the room of a picture back.
func (g *gate) leave(bytes int64) { g.left <- bytes }

// cores is how many cores a picture gets: those there are, divided by the
// pictures that can be in hand with it. So the last one gets all, and so does
// one that leaves no memory for others.
func (g *gate) cores(bytes int64, remaining int) int {
	together := max(1, min(g.jobs, remaining))
	if bytes > 0 {
		together = max(1, min(together, int(min(g.memory/bytes, int64(g.jobs)))))
	}
	return max(1, runtime.GOMAXPROCS(0)/together)
}

// leastHeldBytes is the least that a picture which must be turned is held in:
// each halving takes one more pass over it.
const leastHeldBytes = 8 << 20

// fit returns how a picture is made within the memory: with how many cores, and
// in how many passes if it must be turned. s is its survey for usual cores.
func (r *Recipe) fit(t Task, s survey, usual int, g *gate, remaining int) (*Recipe, survey) {
	own := *r
	own.Cores = g.cores(s.bytes, remaining)
	if own.Cores != usual {
		s = own.survey(t, own.Cores)
	}
	for s.err == nil && s.bytes > g.memory && own.Cores > 1 {
		own.Cores /= 2
		s = own.survey(t, own.Cores)
	}
	if own.Tone.HeldBytes == 0 {
		own.Tone.HeldBytes = tone.DefaultHeldBytes
	}
	for s.err == nil && s.bytes > g.memory && own.Tone.HeldBytes > leastHeldBytes {
		own.Tone.HeldBytes /= 2
		s = own.survey(t, own.Cores)
	}
	if s.err == nil && s.bytes > g.memory {
		s.err = tooLarge(t.In, s.bytes, g.memory)
	}
	return &own, s
}

func tooLarge(name string, needs, memory int64) error {
	return fault.New(name, "", fmt.Sprintf("making its film takes %s of memory, more than the %s allowed", mebibytes(needs), mebibytes(memory)),
		"add --memory "+roundUp(needs)+", if the machine has as much")
}

func mebibytes(bytes int64) string { return fmt.Sprintf("%d MiB", (bytes+1<<20-1)>>20) }

// roundUp returns a bound that is enough, as a user writes it.
func roundUp(bytes int64) string {
	if bytes <= 1<<30 {
		return fmt.Sprintf("%dMiB", (bytes+64<<20-1)/(64<<20)*64)
	}
	return fmt.Sprintf("%dGiB", (bytes+1<<30-1)>>30)
}
