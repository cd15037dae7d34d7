package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/big"
	"testing"

	"actinic/process/fault"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// All shares together are all tasks, each once, in their order.
func TestSharesAreDisjointAndComplete(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(rapid.String(), 0, 60, rapid.ID[string]).Draw(t, "names")
		n := rapid.IntRange(1, 80).Draw(t, "n")
		var tasks []Task
		for _, name := range names {
			tasks = append(tasks, Task{Rel: name})
		}
		taken := map[string]int{}
		total := 0
		for k := 1; k <= n; k++ {
			own := (Share{k, n}).Of(tasks)
			total += len(own)
			for _, task := range own {
				taken[task.Rel] = k
			}
		}
		if total != len(tasks) || len(taken) != len(tasks) {
			t.Fatalf("%d shares hold %d tasks, %d different ones, of %d", n, total, len(taken), len(tasks))
		}
		if len(tasks) == 0 {
			return
		}
		// What else is in the folder does not move a picture.
		one := tasks[rapid.IntRange(0, len(tasks)-1).Draw(t, "one")]
		if got := (Share{taken[one.Rel], n}).Of([]Task{one}); len(got) != 1 {
			t.Errorf("%q changes its share when it is alone", one.Rel)
		}
	})
}

// The share is the remainder of the first 64 bits of the name's SHA-256 (FIPS
// 180-4), worked out here with another library's integers, for the largest N too.
func TestShareIsTheSameEverywhere(t *testing.T) {
	for _, n := range []int64{1, 2, 3, 7, 1000, mostShares} {
		for _, rel := range []string{"boat.tif", "sub/boat.tif", "\xff"} {
			sum := sha256.Sum256([]byte(rel))
			first, _ := new(big.Int).SetString(hex.EncodeToString(sum[:8]), 16)
			k := new(big.Int).Mod(first, big.NewInt(n)).Int64() + 1
			if got := (Share{int(k), int(n)}).Of([]Task{{Rel: rel}}); len(got) != 1 {
				t.Errorf("%q is not in share %d of %d", rel, k, n)
			}
		}
	}
}

// Shares of a large folder are about equal: 4 standard deviations of a binomial
// distribution.
func TestSharesAreAboutEqual(t *testing.T) {
	var tasks []Task
	for i := range 10000 {
		tasks = append(tasks, Task{Rel: fmt.Sprintf("roll-%03d/%02d.tif", i/36, i%36)})
	}
	for k := 1; k <= 10; k++ {
		if got := len((Share{k, 10}).Of(tasks)); got < 880 || got > 1120 {
			t.Errorf("share %d of 10 has %d of 10000", k, got)
		}
	}
}

func TestParseShare(t *testing.T) {
	for text, want := range map[string]Share{"1/1": {1, 1}, "2/5": {2, 5}, "1000000/1000000": {1000000, 1000000}} {
		got, err := ParseShare(text)
		if diff := cmp.Diff(want, got); diff != "" || err != nil || got.String() != text {
			t.Errorf("%q: %v, error %v", text, got, err)
		}
	}
	for _, text := range []string{"", "2", "/", "0/5", "6/5", "-1/5", "1/0", "1/1000001", "a/b", "1/2/3", "1.5/3", "1,2,3,4", "99999999999999999999/5"} {
		_, err := ParseShare(text)
		var user *fault.Error
		if !errors.As(err, &user) || user.Hint == "" {
			t.Errorf("%q: error %v, want one with a hint", text, err)
		}
	}
	whole := []Task{{Rel: "a"}, {Rel: "b"}}
	if got := (Share{}).Of(whole); len(got) != 2 || (Share{}).String() != "" {
		t.Errorf("the zero share has %d of 2", len(got))
	}
}
