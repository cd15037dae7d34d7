package batch

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"

	"actinic/process/fault"
)

// Share is one of N shares of a folder: the K-th, from 1. The zero value is the
// whole folder.
type Share struct{ K, N int }

// mostShares is far beyond the machines that anybody has.
const mostShares = 1_000_000

// ParseShare reads "2/5". It fails with *fault.Error.
func ParseShare(text string) (Share, error) {
	before, after, _ := strings.Cut(text, "/")
	k, errK := strconv.Atoi(before)
	n, errN := strconv.Atoi(after)
	if errK != nil || errN != nil {
		return Share{}, fault.New("", "", fmt.Sprintf("%q is no share, expected K/N", text), "the second of five is 2/5")
	}
	if n < 1 || n > mostShares || k < 1 || k > n {
		return Share{}, fault.New("", "", fmt.Sprintf("there is no share %d of %d, expected 1 to N of N, and N up to %d", k, n, mostShares),
			"shares count from 1: the second of five is 2/5")
	}
	return Share{k, n}, nil
}

// String returns "2/5", "" for the whole.
func (s Share) String() string {
	if s.N == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", s.K, s.N)
}

// Of returns the tasks of the share, in their order. A task's share depends on
// its Rel and on N alone, so that all shares together are all tasks, each once,
// even where they are taken on different machines, or files come and go.
func (s Share) Of(tasks []Task) []Task {
	if s.N == 0 {
		return tasks
	}
	var own []Task
	for _, t := range tasks {
		sum := sha256.Sum256([]byte(t.Rel))
		if binary.BigEndian.Uint64(sum[:])%uint64(s.N) == uint64(s.K-1) {
			own = append(own, t)
		}
	}
	return own
}
