package main

import "testing"

// TestMemoryFlag: binary prefixes are those of IEC 80000-13, decimal ones those
// of the SI.
func TestMemoryFlag(t *testing.T) {
	good := []struct {
		in    string
		want  int64
		shown string
	}{
		{"512MiB", 536870912, "512MiB"},
		{"1GiB", 1073741824, "1GiB"},
		{"1.5GiB", 1610612736, "1536MiB"},
		{"1.5GB", 1500000000, "1500000000"},
		{"64 mib", 67108864, "64MiB"},
		{"1,5GB", 1500000000, "1500000000"}, // a decimal comma, as in all files
		{"200000kb", 200000000, "200000000"},
		{"33554432", 33554432, "32MiB"},
		{"33554432B", 33554432, "32MiB"},
		{"0.25TiB", 274877906944, "256GiB"},
	}
	for _, test := range good {
		var f memoryFlag
		if err := f.Set(test.in); err != nil || int64(f) != test.want || f.String() != test.shown {
			t.Errorf("%q: %d %q, %v; want %d %q", test.in, int64(f), f.String(), err, test.want, test.shown)
		}
	}
	for _, in := range []string{"", "GiB", "1 GiB GiB", "-1GiB", "0", "31MiB", "1GiBs", "NaN", "Inf", "1e300", "100TiB", "0x40000000", "1Gi"} {
		f := memoryFlag(7)
		if err := f.Set(in); err == nil || f != 7 {
			t.Errorf("%q was taken as %d, want it refused and nothing changed", in, int64(f))
		}
	}
}
