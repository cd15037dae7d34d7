package output

import (
	"os"
	"path/filepath"

	"actinic/process/fault"
)

// Set is several outputs that appear together: none has its name before all
// are complete on the disk.
type Set struct {
	options Options
	files   []*File
	done    bool
}

// NewSet returns an empty set whose files are created with o.
func NewSet(o Options) *Set { return &Set{options: o} }

// Create starts one more output of the set, with the errors of the function
// Create, and one for a file that the set has already. Only the set commits or
// aborts it.
func (s *Set) Create(path string) (*File, error) {
	f, err := Create(path, s.options)
	if err != nil {
		return nil, err
	}
	for _, other := range s.files {
		if samePlace(other.target, f.target) {
			f.Abort()
			return nil, fault.New(path, "", "would be written twice", "give every output its own name")
		}
	}
	s.files = append(s.files, f)
	return f, nil
}

// samePlace reports whether two targets are one name in one folder.
func samePlace(a, b string) bool {
	if filepath.Base(a) != filepath.Base(b) {
		return false
	}
	x, errX := os.Stat(filepath.Dir(a))
	y, errY := os.Stat(filepath.Dir(b))
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// Commit syncs and closes every file, then gives each its name. When a name
// cannot be given, the names given so far are taken back, except where Force
// has replaced a file by then: the system has no way to rename several files at
// once. After an error nothing else is left of the set.
func (s *Set) Commit() error {
	if s.done {
		return nil
	}
	for _, f := range s.files {
		if err := f.finish(); err != nil {
			s.Abort()
			return err
		}
	}
	for i, f := range s.files {
		if err := f.rename(); err != nil {
			s.takeBack(s.files[:i])
			s.Abort()
			return err
		}
	}
	s.done = true
	for _, f := range s.files {
		syncFolder(filepath.Dir(f.target))
	}
	return nil
}

// takeBack removes outputs that have their names. With Force they may stand in
// the place of older files, and a new file is better than none.
func (s *Set) takeBack(files []*File) {
	if s.options.Force {
		return
	}
	for _, f := range files {
		os.Remove(f.target)
	}
}

// Abort removes every file of the set. After Commit it does nothing.
func (s *Set) Abort() {
	if s.done {
		return
	}
	s.done = true
	for _, f := range s.files {
		f.Abort()
	}
}
