package main

import (
	"io"
	"sync"
	"time"
)

// progress keeps one line on a terminal that says how far a batch is. It draws
// over its own line only, in one write, with no more than carriage returns and
// spaces, which every terminal knows. Its methods may be called from several
// goroutines at once; those of a nil progress do nothing but what they are given.
type progress struct {
	to    io.Writer
	width func() int // columns of the terminal; 0 when it does not say
	now   func() time.Time
	stop  chan struct{}
	over  sync.WaitGroup

	mu    sync.Mutex
	state batchState
	drawn int // characters of the line that stands there
}

// progressEvery is how often the line is drawn anew: often enough to look alive,
// seldom enough to be read (a working value of ours).
const progressEvery = 250 * time.Millisecond

// newProgress returns the progress line of this run: nil where standard error is
// no terminal, or the user asked for quiet or JSON. Call end.
func (a *app) newProgress(pictures int) *progress {
	if !a.errTerminal || a.global.quiet || a.global.json {
		return nil
	}
	p := &progress{to: a.err, width: a.errWidth, now: time.Now, stop: make(chan struct{})}
	p.state = batchState{pictures: pictures, begun: p.now()}
	p.over.Go(p.keepDrawn)
	return p
}

func (p *progress) keepDrawn() {
	tick := time.NewTicker(progressEvery)
	defer tick.Stop()
	for {
		select {
		case <-p.stop:
			return
		case <-tick.C:
			p.change(func(*batchState) {})
		}
	}
}

// change changes what the line says, and draws it.
func (p *progress) change(f func(*batchState)) {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	f(&p.state)
	p.draw()
}

// count is change without drawing, for what happens many times a second.
func (p *progress) count(f func(*batchState)) {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	f(&p.state)
}

// aside takes the line away while f prints something, and puts it back with
// what f changed.
func (p *progress) aside(f func(*batchState)) {
	if p == nil {
		f(new(batchState))
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.clear()
	f(&p.state)
	p.draw()
}

// end takes the line away for good.
func (p *progress) end() {
	if p == nil {
		return
	}
	close(p.stop)
	p.over.Wait()
	p.mu.Lock()
	defer p.mu.Unlock()
	p.clear()
}

// draw writes the line over the one that stands there. A terminal that fails to
// take it is no reason to stop the work.
func (p *progress) draw() {
	columns := 0
	if p.width != nil {
		columns = p.width()
	}
	line := p.state.line(columns, p.now())
	_, _ = io.WriteString(p.to, "\r"+padded(line, p.drawn))
	p.drawn = len(line)
}

func (p *progress) clear() {
	if p.drawn > 0 {
		_, _ = io.WriteString(p.to, "\r"+padded("", p.drawn)+"\r")
		p.drawn = 0
	}
}
