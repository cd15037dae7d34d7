package profile

import (
	"sync"
	"testing"
)

// TestSharedBakesOnce: equal profiles give one luminance, to many at a time; other
// profiles and channels give others; the number kept is bounded.
func TestSharedBakesOnce(t *testing.T) {
	data := greyOf("XYZ ", gamma(0x0233))
	first, err := Shared(data, 1)
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			if l, err := Shared(append([]byte(nil), data...), 1); l != first || err != nil {
				t.Errorf("another luminance, %v", err)
			}
		})
	}
	wait.Wait()
	if _, err := Shared(data, 3); err == nil {
		t.Error("a grey profile served three channels")
	}
	for i := range 3 * mostShared {
		l, err := Shared(greyOf("XYZ ", gamma(uint16(0x0100+i))), 1)
		if err != nil || l == first {
			t.Fatalf("%d: %v", i, err)
		}
		if y := one(l, 65535); y != 1 {
			t.Errorf("%d: white is %g", i, y)
		}
	}
	if len(shared) != mostShared {
		t.Errorf("%d kept", len(shared))
	}
	again, err := Shared(data, 1)
	if err != nil || again == first {
		t.Errorf("what was asked for long ago is still kept, or fails: %v", err)
	}
}
