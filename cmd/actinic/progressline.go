package main

import (
	"fmt"
	"strings"
	"time"
)

// batchState is what is known of a batch on its way.
type batchState struct {
	pictures int // of the batch
	ended    int // made, skipped or failed
	failed   int
	pixels   int64     // of all pictures; 0 until they were looked at
	behind   int64     // pixels of the pictures that ended
	made     int64     // pixels of films made: those skipped take no time
	begun    time.Time // work on the first film that was made, about
	last     time.Time // when a picture ended, or rows of one were written
	// written are the pixels of films that have not ended, by their pictures.
	written map[string]int64
}

// write counts pixels of a film on its way.
func (s *batchState) write(picture string, pixels int64, now time.Time) {
	if s.written == nil {
		s.written = map[string]int64{}
	}
	s.written[picture] += pixels
	s.last = now
}

// inHand are the pixels written of all films on their way.
func (s *batchState) inHand() int64 {
	var all int64
	for _, n := range s.written {
		all += n
	}
	return all
}

// end counts a picture that ended.
func (s *batchState) end(picture string, pixels int64, made, failed bool, now time.Time) {
	delete(s.written, picture)
	s.ended++
	s.behind += pixels
	s.last = now
	switch {
	case failed:
		s.failed++
	case made:
		s.made += pixels
	case s.made == 0 && len(s.written) == 0:
		s.begun = now // skipped before the first was made: no measure of speed
	}
}

// Columns of a terminal that does not say how many it has, and of the bar.
const usualColumns, barColumns = 80, 20

// line returns what the progress line says, shorter than the terminal is wide,
// so that it never breaks. Where there is too little room the last parts are
// left out.
func (s *batchState) line(columns int, now time.Time) string {
	if columns <= 0 {
		columns = usualColumns
	}
	line := fmt.Sprintf("%d of %d pictures", s.ended, s.pictures)
	if s.pictures == 1 {
		line = "1 picture"
	}
	for _, part := range s.parts(now) {
		if longer := line + "  " + part; part != "" && len(longer) < columns {
			line = longer
		}
	}
	return line[:min(len(line), max(0, columns-1))]
}

// parts are what follows the count, the most wanted first.
func (s *batchState) parts(now time.Time) []string {
	if s.pixels == 0 {
		return []string{"looking at them"}
	}
	gone := s.behind + s.inHand()
	done := percent(gone, s.pixels)
	if s.ended < s.pictures {
		done = min(done, 99) // all rows are written, and the disk is waited for
	}
	parts := []string{fmt.Sprintf("%d %%", done)}
	if s.failed > 0 {
		parts = append(parts, fmt.Sprintf("%d failed", s.failed))
	}
	return append(append(parts, s.times(now)...), bar(gone, s.pixels))
}

// times are the time left and the speed, as of the last rows that were written:
// where none come, the time left only goes down.
func (s *batchState) times(now time.Time) []string {
	inHand, worked := s.inHand(), s.last.Sub(s.begun).Seconds()
	if s.made+inHand == 0 || worked <= 0 {
		if passed := now.Sub(s.begun).Seconds(); passed >= 1 {
			return []string{duration(passed) + " so far"}
		}
		return nil
	}
	perSecond := float64(s.made+inHand) / worked
	left := float64(s.pixels-s.behind-inHand)/perSecond - now.Sub(s.last).Seconds()
	if left <= 0 { // none, or the guess was wrong
		return []string{speed(perSecond)}
	}
	return []string{duration(max(1, left)) + " left", speed(perSecond)}
}

// percent is how much of all is gone, from 0 to 100.
func percent(gone, all int64) int64 {
	return min(max(0, int64(100*float64(gone)/float64(all))), 100)
}

func speed(pixelsPerSecond float64) string {
	return fmt.Sprintf("%.3g megapixels/s", pixelsPerSecond/1e6)
}

// duration is a time to wait, in words, no finer than a guess deserves.
func duration(seconds float64) string {
	const day = 24 * 3600
	switch s := int64(min(seconds+0.5, 1000*day)); {
	case s >= 2*day:
		return fmt.Sprintf("%d days", s/day)
	case s >= 3600:
		return fmt.Sprintf("%d h %d min", s/3600, s%3600/60)
	case s >= 60:
		return fmt.Sprintf("%d min %d s", s/60, s%60)
	default:
		return fmt.Sprintf("%d s", s)
	}
}

func bar(gone, all int64) string {
	full := int(percent(gone, all) * barColumns / 100)
	return "[" + strings.Repeat("=", full) + strings.Repeat(" ", barColumns-full) + "]"
}

// padded returns text with spaces to at least n characters.
func padded(text string, n int) string {
	return text + strings.Repeat(" ", max(0, n-len(text)))
}
