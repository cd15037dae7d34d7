//go:build unix

package output

import (
	"os"
	"syscall"
)

// identity is the device and number of a file, the same under all its names.
func identity(info os.FileInfo) (id [2]uint64, ok bool) {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return id, false
	}
	return [2]uint64{uint64(s.Dev), uint64(s.Ino)}, true
}
