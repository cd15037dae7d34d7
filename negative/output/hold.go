package output

import (
	"os"
	"time"
)

// How long Hold waits for another program, in all: what is done under a hold
// takes milliseconds, so one that takes longer was stopped, and is not waited
// for (working values of ours).
const (
	holdStep  = 2 * time.Millisecond
	holdSteps = 2500
)

// Hold takes a folder for the caller until release is called: others that hold
// it, in this program or another, wait until then. It keeps nobody else from
// writing. On file systems that have no locks, and where another does not let go
// for seconds, it holds nothing: so what must not be lost may not rest on it
// alone.
func Hold(folder string) (release func()) {
	nothing := func() {}
	if !canLock {
		return nothing
	}
	f, err := os.Open(folder)
	if err != nil {
		return nothing
	}
	for range holdSteps {
		err := lock(f)
		if err == nil {
			return func() { f.Close() }
		}
		if !wouldBlock(err) {
			break
		}
		time.Sleep(holdStep)
	}
	f.Close()
	return nothing
}
