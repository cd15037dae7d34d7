package output

import (
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
)

// One at a time holds a folder, and what is no folder is held by nobody.
func TestHold(t *testing.T) {
	if !canLock {
		t.Skip("this system has no locks")
	}
	dir := t.TempDir()
	var inside atomic.Int32
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			release := Hold(dir)
			defer release()
			if n := inside.Add(1); n != 1 {
				t.Errorf("%d hold the folder", n)
			}
			runtime.Gosched()
			inside.Add(-1)
		})
	}
	wait.Wait()
	Hold(filepath.Join(dir, "nothing"))()
}
