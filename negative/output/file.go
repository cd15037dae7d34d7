package output

import (
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"syscall"

	"actinic/process/fault"
)

// Options says what may be replaced. The zero value replaces nothing.
type Options struct {
	// Force allows an existing regular file to be replaced.
	Force bool
	// Inputs are the files read by the job: none of them becomes its output,
	// Force or not. Names that do not exist are passed over.
	Inputs []string
	// Guard knows more inputs, for jobs of many files; may be nil.
	Guard *Guard
}

// File is an output on its way. It takes writes in order, at an offset, and
// seeks; it is not safe for concurrent use.
//
// Exactly one Commit gives it its name. Abort may be deferred: after Commit it
// does nothing.
type File struct {
	f      *temporary
	path   string // as the user gave it
	target string // where it goes, symbolic links followed
	force  bool
	closed bool // synced too
	done   bool
}

// Create starts the output that will be called path.
//
// It fails with *fault.Error when path exists and Options.Force is not set,
// is one of Options.Inputs, is a folder or a device, or lies in a folder that
// does not exist or cannot be written to.
func Create(path string, o Options) (*File, error) {
	target, err := check(path, o)
	if err != nil {
		return nil, err
	}
	sweepOnce(filepath.Dir(target))
	t, err := createTemp(filepath.Dir(target))
	if err != nil {
		return nil, folderFault(err, path, filepath.Dir(target))
	}
	return &File{f: t, path: path, target: target, force: o.Force}, nil
}

// Name returns the final name as it was given to Create.
func (f *File) Name() string { return f.path }

// Write appends at the current offset.
func (f *File) Write(p []byte) (int, error) {
	n, err := f.f.Write(p)
	return n, f.fault(err)
}

// WriteAt writes at an offset from the start and leaves the current one alone.
func (f *File) WriteAt(p []byte, off int64) (int, error) {
	n, err := f.f.WriteAt(p, off)
	return n, f.fault(err)
}

// Seek moves the current offset, as io.Seeker says.
func (f *File) Seek(offset int64, whence int) (int64, error) {
	n, err := f.f.Seek(offset, whence)
	return n, f.fault(err)
}

// Read reads back what was written.
func (f *File) Read(p []byte) (int, error) { return f.f.Read(p) }

// ReadAt reads back what was written, from an offset.
func (f *File) ReadAt(p []byte, off int64) (int, error) { return f.f.ReadAt(p, off) }

// Sealed is what a complete file holds.
type Sealed struct {
	Bytes  int64
	SHA256 [sha256.Size]byte
}

// Seal brings the file to the disk and closes it, so that only Commit is left
// to do, and returns what it holds. After an error nothing is left of it.
func (f *File) Seal() (Sealed, error) {
	var s Sealed
	failed := make(chan error, 1)
	go func() { failed <- f.f.Sync() }() // the disk is slower than the sum
	sum := sha256.New()
	n, err := io.Copy(sum, io.NewSectionReader(f.f.File, 0, math.MaxInt64))
	s.Bytes = n
	sum.Sum(s.SHA256[:0])
	if e := <-failed; err == nil {
		err = e
	}
	if err = f.close(err); err != nil {
		f.Abort()
	}
	return s, err
}

// Commit syncs and closes the file and gives it its name. After an error
// nothing is left of it, and what was there before is still there.
//
// Without Force a file that appeared meanwhile is not replaced: see place.
func (f *File) Commit() error {
	if f.done {
		return nil
	}
	if err := f.finish(); err != nil {
		f.Abort()
		return err
	}
	if err := f.rename(); err != nil {
		f.Abort()
		return err
	}
	syncFolder(filepath.Dir(f.target))
	return nil
}

// Abort closes and removes what was written. After Commit, or a second time,
// it does nothing.
func (f *File) Abort() {
	if f.done {
		return
	}
	f.done = true
	if !f.closed {
		f.closed = true
		f.f.Close()
	}
	os.Remove(f.f.name)
	f.f.free()
}

// finish brings the bytes to the disk and closes the temporary file, unless that
// is done.
func (f *File) finish() error {
	if f.closed {
		return nil
	}
	return f.close(f.f.Sync())
}

// close closes the temporary file; network disks tell only then that they are
// full. err is what went wrong before.
func (f *File) close(err error) error {
	f.closed = true
	if e := f.f.Close(); err == nil {
		err = e
	}
	return f.fault(err)
}

// rename gives the closed temporary file its name.
func (f *File) rename() error {
	if err := place(f.f.name, f.target, f.force); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return existsFault(f.path)
		}
		return f.fault(err)
	}
	f.done = true
	f.f.free()
	return nil
}

// fault names the final file instead of the temporary one. io.EOF and nil pass.
func (f *File) fault(err error) error {
	if err == nil {
		return nil
	}
	return fault.Wrap(err, f.path, "", "cannot be written: "+cause(err), remedy(err))
}

// remedy is what to do about the system's error.
func remedy(err error) string {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return "make room on the disk, or choose another place; nothing was left of this file"
	case errors.Is(err, syscall.EFBIG):
		return "the system allows no file of this size there: choose another disk, or lift the limit"
	case errors.Is(err, syscall.EROFS):
		return "the disk is read-only: choose another place"
	}
	return "see that the disk has room and that you may write to its folder"
}

// cause returns the text of the system's error without path and operation.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err.Error()
	}
	return err.Error()
}
