//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package output

import (
	"errors"
	"os"
)

// canLock is false where it cannot be told whether a program still writes to a
// temporary file: those of killed programs stay.
const canLock = false

func lock(*os.File) error { return errors.ErrUnsupported }

func wouldBlock(error) bool { return false }
