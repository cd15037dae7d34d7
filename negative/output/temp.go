package output

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"sync"
)

// temporary is a file that has no name yet which anybody looks for.
type temporary struct {
	*os.File
	name string
	lock *os.File // says to other programs that it is in work; may be nil
}

// free ends the lock.
func (t *temporary) free() {
	if t.lock != nil {
		t.lock.Close()
	}
}

// The name of a temporary file tells the machine it was made on, because locks
// are not seen from one machine to another on every network disk: each machine
// clears up after itself only.
const tempForm = ".actinic-%s-%016x.tmp"

var machine = sync.OnceValue(func() string {
	name, _ := os.Hostname()
	sum := sha256.Sum256([]byte(name))
	return fmt.Sprintf("%x", sum[:4])
})

// createTemp opens a new file in folder with the permissions that the user's
// files have (os.CreateTemp would make it private).
func createTemp(folder string) (*temporary, error) {
	for range 1000 {
		name := filepath.Join(folder, fmt.Sprintf(tempForm, machine(), rand.Uint64()))
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		t := &temporary{File: f, name: name}
		if t.take() {
			return t, nil
		}
		f.Close()
	}
	return nil, fmt.Errorf("no free temporary name in %s", folder)
}

// take locks the file, through an opening of its own so that the lock outlives
// the writing. It reports whether the file is still there: another program may
// have taken it for one left behind, in the moment before it was locked.
// Without locks nobody removes it.
func (t *temporary) take() bool {
	if !canLock {
		return true
	}
	l, err := os.OpenFile(t.name, os.O_RDWR, 0)
	if err != nil {
		return !errors.Is(err, fs.ErrNotExist)
	}
	if err := lock(l); err != nil {
		l.Close()
		return !wouldBlock(err)
	}
	if !isNamed(l, t.name) {
		l.Close()
		return false
	}
	t.lock = l
	return true
}

// isNamed reports whether an open file is the one of that name.
func isNamed(f *os.File, name string) bool {
	open, errOpen := f.Stat()
	named, errNamed := os.Lstat(name)
	return errOpen == nil && errNamed == nil && os.SameFile(open, named)
}

var leftName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\.actinic-` + machine() + `-[0-9a-f]{16}\.tmp$`)
})

// Sweep removes the temporary files that killed programs left in a folder: those
// of this machine that no running program holds. Where that cannot be told they
// stay. It does nothing about what goes wrong: it will be tried again.
func Sweep(folder string) {
	if !canLock {
		return
	}
	entries, _ := os.ReadDir(folder)
	for _, e := range entries {
		if e.Type().IsRegular() && leftName().MatchString(e.Name()) {
			removeLeft(filepath.Join(folder, e.Name()))
		}
	}
}

// removeLeft removes a temporary file if nobody holds it.
func removeLeft(name string) {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return
	}
	defer f.Close()
	if lock(f) == nil && isNamed(f, name) {
		os.Remove(name)
	}
}

var swept sync.Map // folders

// sweepOnce sweeps a folder the first time that this program writes to it.
func sweepOnce(folder string) {
	if _, done := swept.LoadOrStore(folder, true); !done {
		Sweep(folder)
	}
}
