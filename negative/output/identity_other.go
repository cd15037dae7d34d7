//go:build !unix

package output

import "os"

// identity is unknown here: files are compared one by one.
func identity(os.FileInfo) (id [2]uint64, ok bool) { return id, false }
