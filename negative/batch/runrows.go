package batch

import (
	"context"

	"actinic/negative/raster"
)

// RowWatcher is a Watcher that is also told of films on their way. Rows comes
// from several goroutines at once, of several films, with the pixels that were
// written since the last call; Done counts all of a film's.
type RowWatcher interface {
	Watcher
	Rows(t Task, pixels int64)
}

// watched returns the recipe with its rows told to a watcher who asks for them.
func (r *Recipe) watched(t Task, w Watcher) *Recipe {
	rows, asked := w.(RowWatcher)
	if !asked {
		return r
	}
	told := *r
	told.rows = func(pixels int64) { rows.Rows(t, pixels) }
	return &told
}

// countedSink tells of the rows that a sink takes.
type countedSink struct {
	raster.StripSink
	width int64
	rows  func(pixels int64)
}

func (c countedSink) WriteRows(ctx context.Context, rows [][]uint16) error {
	err := c.StripSink.WriteRows(ctx, rows)
	c.rows(c.width * int64(len(rows)))
	return err
}

func (c countedSink) WriteStrip(ctx context.Context, s raster.Strip) error {
	err := c.StripSink.WriteStrip(ctx, s)
	c.rows(c.width * int64(s.Rows))
	return err
}
