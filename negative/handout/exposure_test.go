package handout

import (
	"strings"
	"testing"

	"actinic/process/calibration"
)

func TestExposureOf(t *testing.T) {
	blue, dye := card(t, "cyanotype_classic"), card(t, "anthotype")
	given := 480.0
	units := &calibration.Calibration{Exposure: calibration.Exposure{Given: &given, Unit: "lamp units"}}
	short := eightMinutes()
	short.Exposure.FirstBlack = &calibration.Value{Value: 700, SD: 20}
	silent := &calibration.Calibration{}
	for _, tc := range []struct {
		name             string
		got              Exposure
		headline, figure string
		says             string
	}{
		{"tablet", ExposureOf(eightMinutes(), blue), "8 min", "first black 4 min 50 s ± 10 s", "the films are made for it"},
		{"short of black", ExposureOf(short, blue), "8 min", "first black 11 min 40 s ± 20 s", "did not reach black"},
		{"no tablet, lamp units", ExposureOf(units, blue), "480 lamp units", "", "no step tablet was read"},
		{"no exposure", ExposureOf(silent, blue), "8 min to 25 min", "", "does not say how long"},
		{"no calibration", ExposureOf(nil, blue), "8 min to 25 min", "", "test strip from"},
		{"daylight", ExposureOf(nil, dye), "2 h to 672 h", "", "Look at the print"},
	} {
		if tc.got.Headline != tc.headline || tc.got.Figure != tc.figure {
			t.Errorf("%s: %q, %q, want %q, %q", tc.name, tc.got.Headline, tc.got.Figure, tc.headline, tc.figure)
		}
		if text := strings.Join(tc.got.Text, " "); !strings.Contains(text, tc.says) {
			t.Errorf("%s: %q does not say %q", tc.name, text, tc.says)
		}
	}
}

func TestParsePaper(t *testing.T) {
	if p, err := ParsePaper(" a4 "); err != nil || p.WidthMM != 210 || p.HeightMM != 297 {
		t.Errorf("%v, %v", p, err)
	}
	if p, err := ParsePaper("Letter"); err != nil || p.WidthMM != 8.5*25.4 || p.HeightMM != 11*25.4 {
		t.Errorf("%v, %v", p, err)
	}
	if _, err := ParsePaper("A3"); err == nil {
		t.Error("A3 was taken")
	}
}
