package main

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"time"
)

func TestProgressLine(t *testing.T) {
	begun := time.Unix(1000, 0)
	after := func(seconds float64) time.Time { return begun.Add(time.Duration(seconds * 1e9)) }
	tests := []struct {
		name    string
		state   batchState
		columns int
		seconds float64
		want    string
	}{
		{"before the survey", batchState{pictures: 300}, 80, 1, "0 of 300 pictures  looking at them"},
		{"nothing made yet", batchState{pictures: 3, pixels: 72e6}, 80, 1, "0 of 3 pictures  0 %  1 s so far  [                    ]"},
		// 12 of 36 megapixels in 6 seconds: 2 a second, 12 seconds for the other 24.
		{"under way", batchState{pictures: 3, ended: 1, pixels: 36e6, behind: 12e6, made: 12e6, last: after(6)}, 100, 6,
			"1 of 3 pictures  33 %  12 s left  2 megapixels/s  [======              ]"},
		{"five seconds later", batchState{pictures: 3, ended: 1, pixels: 36e6, behind: 12e6, made: 12e6, last: after(6)}, 100, 11,
			"1 of 3 pictures  33 %  7 s left  2 megapixels/s  [======              ]"},
		{"longer than thought", batchState{pictures: 3, ended: 1, pixels: 36e6, behind: 12e6, made: 12e6, last: after(6)}, 50, 600,
			"1 of 3 pictures  33 %  2 megapixels/s"},
		// Skipped ones are behind, but say nothing of speed: 6 of 18 left, 1 a second.
		{"skipped", batchState{pictures: 3, ended: 2, pixels: 18e6, behind: 12e6, made: 6e6, last: after(6)}, 40, 6,
			"2 of 3 pictures  66 %  6 s left"},
		{"failed", batchState{pictures: 4, ended: 2, failed: 1, pixels: 40e6, behind: 20e6, made: 10e6, last: after(100)}, 70, 100,
			"2 of 4 pictures  50 %  1 failed  3 min 20 s left  0.1 megapixels/s"},
		{"one large picture", batchState{pictures: 1, pixels: 1e9}, 60, 10, "1 picture  0 %  10 s so far  [                    ]"},
		{"one large picture, rows written", batchState{pictures: 1, pixels: 1e9, written: map[string]int64{"a": 500e6}, last: after(10)}, 60, 10,
			"1 picture  50 %  10 s left  50 megapixels/s"},
		{"waiting for the disk", batchState{pictures: 2, ended: 1, pixels: 20e6, behind: 10e6, made: 10e6, written: map[string]int64{"b": 10e6}, last: after(10)}, 60, 10,
			"1 of 2 pictures  99 %  2 megapixels/s"},
		{"no room", batchState{pictures: 300, ended: 150, pixels: 36e6, behind: 12e6}, 10, 6, "150 of 30"},
		{"a terminal that does not say", batchState{pictures: 2, ended: 2, pixels: 2, behind: 2, made: 2, last: after(1)}, 0, 1,
			"2 of 2 pictures  100 %  2e-06 megapixels/s  [====================]"},
	}
	for _, test := range tests {
		test.state.begun = begun
		got := test.state.line(test.columns, after(test.seconds))
		if got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
		if test.columns > 0 && len(got) >= test.columns {
			t.Errorf("%s: %d characters on a terminal of %d", test.name, len(got), test.columns)
		}
	}
}

// TestProgressState: pictures skipped before the first is made do not slow the
// measured speed, and a film that ended is on its way no more.
func TestProgressState(t *testing.T) {
	s := batchState{pictures: 3, pixels: 30, begun: time.Unix(0, 0)}
	s.end("a", 10, false, false, time.Unix(50, 0))
	s.write("c", 4, time.Unix(55, 0))
	s.write("b", 3, time.Unix(56, 0))
	s.write("b", 7, time.Unix(57, 0))
	if s.inHand() != 14 {
		t.Errorf("%d pixels of films on their way, want 14", s.inHand())
	}
	s.end("b", 10, true, false, time.Unix(60, 0))
	s.end("c", 10, false, true, time.Unix(70, 0))
	if s.inHand() != 0 {
		t.Errorf("%d pixels of films on their way, want none", s.inHand())
	}
	s.written = nil
	want := batchState{pictures: 3, ended: 3, failed: 1, pixels: 30, behind: 30, made: 10, begun: time.Unix(50, 0), last: time.Unix(70, 0)}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("%+v, want %+v", s, want)
	}
}

func TestDuration(t *testing.T) {
	for seconds, want := range map[float64]string{0: "0 s", 59.4: "59 s", 59.6: "1 min 0 s", 3599: "59 min 59 s",
		7384: "2 h 3 min", 200000: "2 days", 1e30: "1000 days"} {
		if got := duration(seconds); got != want {
			t.Errorf("%g seconds: %q, want %q", seconds, got, want)
		}
	}
}

// TestProgressScreen: what a terminal shows of all that was written is the
// printed lines, whole, and of the progress line nothing in the end.
func TestProgressScreen(t *testing.T) {
	var to bytes.Buffer
	p := &progress{to: &to, now: func() time.Time { return time.Unix(9, 0) }, stop: make(chan struct{})}
	p.state = batchState{pictures: 2, pixels: 100, begun: time.Unix(0, 0)}
	p.change(func(s *batchState) { s.ended = 1 })
	if got := screen(to.String()); len(got) != 1 || !strings.HasPrefix(got[0], "1 of 2 pictures") {
		t.Errorf("the screen shows %q", got)
	}
	p.aside(func(*batchState) { to.WriteString("boat\n") })
	if got := screen(to.String()); len(got) != 2 || got[0] != "boat" || !strings.HasPrefix(got[1], "1 of 2 pictures") {
		t.Errorf("the screen shows %q", got)
	}
	p.end()
	if got := screen(to.String()); len(got) != 2 || got[0] != "boat" || got[1] != "" {
		t.Errorf("the screen shows %q, want the printed line alone", got)
	}
	var none *progress
	printed := false
	none.change(nil)
	none.count(nil)
	none.aside(func(*batchState) { printed = true })
	none.end()
	if !printed {
		t.Error("without a progress line nothing was printed")
	}
}

// screen returns the lines that a terminal shows: a carriage return goes back
// to the start of the line, and what follows stands over what was there.
func screen(text string) []string {
	var lines []string
	for _, raw := range strings.Split(text, "\n") {
		var line []byte
		for _, over := range strings.Split(raw, "\r") {
			line = append([]byte(over), line[min(len(over), len(line)):]...)
		}
		lines = append(lines, strings.TrimRight(string(line), " "))
	}
	return lines
}

// TestNoProgress: no line where nobody watches, or nobody wants it.
func TestNoProgress(t *testing.T) {
	for name, change := range map[string]func(*app){
		"no terminal": func(a *app) { a.errTerminal = false },
		"--quiet":     func(a *app) { a.global.quiet = true },
		"--json":      func(a *app) { a.global.json = true },
	} {
		a, _, errs := newTestApp(nil)
		a.errTerminal = true
		change(a)
		p := a.newProgress(1)
		p.end()
		if p != nil || errs.Len() > 0 {
			t.Errorf("%s: a progress line all the same: %q", name, errs)
		}
	}
}
