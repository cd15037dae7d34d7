package batch

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"

	"actinic/process/fault"
)

// picture is a picture's file held open while its film is made, to tell whether
// it stays what it is.
type picture struct {
	name  string
	file  *os.File
	begun os.FileInfo
}

// openPicture opens a picture. surveyed is what it was when its header was read,
// or nil.
func openPicture(name string, surveyed os.FileInfo) (*picture, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fault.Wrap(err, name, "", "cannot be opened: "+reasonOf(err), "check the name, and that you may read the file")
	}
	p := &picture{name: name, file: f}
	if p.begun, err = f.Stat(); err != nil {
		f.Close()
		return nil, fault.Wrap(err, name, "", "cannot be read: "+reasonOf(err), "")
	}
	if surveyed != nil && !same(p.begun, surveyed) {
		f.Close()
		return nil, p.changed("was changed while the pictures before it were made")
	}
	return p, nil
}

func (p *picture) close() { p.file.Close() }

// same reports whether two looks at a file show the same bytes, as far as a look
// can tell.
func same(a, b os.FileInfo) bool {
	return a.Size() == b.Size() && a.ModTime().Equal(b.ModTime()) && os.SameFile(a, b)
}

// reader reads the picture from its start to where its end was, and a byte more
// to tell that it has grown.
func (p *picture) reader() io.Reader { return io.NewSectionReader(p.file, 0, p.begun.Size()+1) }

// unchanged fails with *fault.Error when the file is no longer what it was when
// it was opened, or another has taken its name.
func (p *picture) unchanged() error {
	now, err := os.Stat(p.name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return p.changed("was removed while it was read")
	case err != nil:
		return fault.Wrap(err, p.name, "", "cannot be read: "+reasonOf(err), "see that you may read the file")
	case !os.SameFile(now, p.begun):
		return p.changed("was replaced while it was read")
	case !same(now, p.begun):
		return p.changed("was changed while it was read")
	}
	return nil
}

func (p *picture) changed(what string) error {
	return fault.New(p.name, "", what, "run the command again when the picture is complete")
}

// blame says that the picture was changed where that may be the reason of an
// error.
func (p *picture) blame(err error) error {
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	var user *fault.Error
	if errors.As(err, &user) && user.File != p.name {
		return err
	}
	if e := p.unchanged(); e != nil {
		return e
	}
	return err
}
