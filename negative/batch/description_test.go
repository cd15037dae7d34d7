package batch

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestDescriptionComesBack(t *testing.T) {
	tests := []Description{
		{Name: "boat.jpg", Process: "Classic cyanotype", Date: "2031-04-05", Calibration: "blue.calibration.json", WidthMM: 203.2, HeightMM: 254},
		{Name: "no: date.tif", WidthMM: 90, HeightMM: 60.5, NotMirrored: true},
		{},
	}
	for _, want := range tests {
		got, ok := ParseDescription(want.String())
		if diff := cmp.Diff(want, got); diff != "" || !ok {
			t.Errorf("%q: known %v (-want +got):\n%s", want, ok, diff)
		}
	}
}

// A name with line ends cannot add keys of its own.
func TestDescriptionKeepsItsLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Description{Name: rapid.String().Draw(t, "name"), Process: rapid.String().Draw(t, "process")}
		got, ok := ParseDescription(d.String())
		if !ok || got.NotMirrored || got.Date != "" || got.Calibration != "" {
			t.Errorf("%q came back as %+v", d.String(), got)
		}
	})
	evil := Description{Name: "x\nmirrored: no"}
	if got, _ := ParseDescription(evil.String()); got.NotMirrored {
		t.Error("a file name turned the film round")
	}
}

func TestForeignDescription(t *testing.T) {
	for _, text := range []string{"", "name: boat", "a picture of a boat", strings.Repeat("x", 1<<16)} {
		if _, ok := ParseDescription(text); ok {
			t.Errorf("%.20q passes for a film's description", text)
		}
	}
}

func TestSameSide(t *testing.T) {
	down, up := Description{Name: "a"}, Description{Name: "b", NotMirrored: true}
	for _, test := range []struct {
		films []Description
		inkUp bool
		ok    bool
	}{{[]Description{down, down}, false, true}, {[]Description{up, up}, true, true}, {[]Description{down, up}, false, false}, {nil, false, true}} {
		got, err := SameSide(test.films)
		if (err == nil) != test.ok || got != test.inkUp {
			t.Errorf("SameSide(%v) = %v, %v", test.films, got, err)
		}
	}
}

// What a film's text says comes back the same once it was written by us.
func FuzzParseDescription(f *testing.F) {
	f.Add("name: boat.jpg\nprocess: Gum dichromate\nsize_mm: 90.0 x 60.0\nmirrored: no")
	f.Add("mirrored: yes\r\nname: \x00")
	f.Add("size_mm: NaN x -Inf\nmirrored:")
	f.Fuzz(func(t *testing.T, text string) {
		first, _ := ParseDescription(text)
		again, ok := ParseDescription(first.String())
		if !ok || again.NotMirrored != first.NotMirrored {
			t.Errorf("%q: %+v came back as %+v", text, first, again)
		}
	})
}
