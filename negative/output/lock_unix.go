//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package output

import (
	"errors"
	"os"
	"syscall"
)

// canLock says that a temporary file is locked for as long as its program runs.
const canLock = true

// lock takes a file for this program until it is closed, or the program ends in
// whatever way. The lock belongs to this opening of the file: others, by this
// program too, do not get it. It fails where another has it, and where the file
// system has no locks.
func lock(f *os.File) error {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
}

// wouldBlock reports that another program has the lock.
func wouldBlock(err error) bool { return errors.Is(err, syscall.EWOULDBLOCK) }
