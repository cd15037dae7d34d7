package main

import (
	"slices"
	"strings"
	"testing"
)

func TestJoinTwoWords(t *testing.T) {
	for in, want := range map[string]string{
		"negative a.tif --edge opaque 10 -o b.tif": "negative a.tif --edge=opaque:10 -o b.tif",
		"negative --edge=keyline 7,5mm a.tif":      "negative --edge=keyline:7,5mm a.tif",
		"negative --edge opaque:10 12.tif":         "negative --edge opaque:10 12.tif",
		"negative --edge clear a.tif":              "negative --edge clear a.tif",
		"negative --edge opaque":                   "negative --edge opaque",
		"curve --aim match ref.csv -o c.json":      "curve --aim=match:ref.csv -o c.json",
		"curve --aim match -o c.json":              "curve --aim match -o c.json",
		"curve --aim density -o c.json":            "curve --aim density -o c.json",
		"negative -- --edge opaque 10":             "negative -- --edge opaque 10",
	} {
		if got := joinTwoWords(strings.Fields(in)); !slices.Equal(got, strings.Fields(want)) {
			t.Errorf("%s: got %s, want %s", in, strings.Join(got, " "), want)
		}
	}
}
