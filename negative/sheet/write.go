package sheet

import (
	"bytes"
	"context"
	"errors"
	"io"
)

// Write writes pages, as Layout made them with the same opts, to w as one PDF.
// The same input gives the same bytes. Pictures are read as they are written;
// Write returns the first error of a picture, of w, or of ctx, and what it has
// written by then is not a whole file.
//
// It panics when there is no page.
func Write(ctx context.Context, w io.Writer, pages []Page, opts Options) error {
	if len(pages) == 0 {
		panic("sheet: no pages to write")
	}
	if err := opts.check(); err != nil {
		return err
	}
	c := newCanvas(opts)
	for i := range pages {
		c.mirror = opts.InkUp == pages[i].otherSide
		drawPage(c, &pages[i], opts.Bare)
	}
	var b bytes.Buffer
	if err := c.pdf.Output(&b); err != nil {
		return err
	}
	s, err := readSkeleton(b.Bytes(), len(c.images))
	if err != nil {
		return err
	}
	u, err := s.begin(w)
	if err != nil {
		return err
	}
	for i, open := range c.images {
		if err := u.picture(ctx, i, open); err != nil {
			return err
		}
	}
	return u.finish()
}

// picture opens, writes and closes one image.
func (u *update) picture(ctx context.Context, i int, open imageJob) (err error) {
	p, err := open(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, p.close()) }()
	return u.image(i, p)
}
