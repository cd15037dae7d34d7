package calibration

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"actinic/process/measure"
)

// logisticPrint is a print by the worked example of sensitometry_logistic.csv:
// density 0.08 + 1.42/(1 + exp(-4(x - 1.5))) of log exposure x, here x0 through
// clear film; 0.04 above the paper lies at x = 0.614760.
func logisticPrint(t *testing.T, x0 float64) *Colours {
	t.Helper()
	print := func(stopped float64) float64 { return 0.08 + 1.42/(1+math.Exp(-4*(x0-stopped-1.5))) }
	var tablet, colours strings.Builder
	tablet.WriteString("step,tablet_density,print_density\n")
	for i := range 21 {
		d := 0.05 + 0.15*float64(i)
		fmt.Fprintf(&tablet, "%d,%.2f,%.4f\n", i+1, d, print(d))
	}
	colours.WriteString("patch,red,green,blue,print_density\n")
	for i := range 12 {
		v := 255 - 20*i
		fmt.Fprintf(&colours, "A%d,%d,%d,%d,%.4f\n", i+1, v, v, v, print(0.1*float64(i)))
	}
	var tables [2]*measure.Table
	for i, text := range []string{colours.String(), tablet.String()} {
		var err error
		if tables[i], err = measure.Read(strings.NewReader(text), "p.csv", nil); err != nil {
			t.Fatal(err)
		}
	}
	c, err := FitColours([]ColourPrint{{Colours: tables[0], Tablet: tables[1]}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// What paper white needs is the distance from clear film to that point, whether
// black (97 % of net density, at x = 2.369) is reached or not.
func TestRangeAtExposure(t *testing.T) {
	for _, x0 := range []float64{2.0, 2.6} {
		got := logisticPrint(t, x0).rangeAtExposure()
		if want := x0 - 0.614760; math.Abs(got.Value-want) > 0.02 || !(got.SD > 0) {
			t.Errorf("clear film at %g: %g +- %g, want %.3f", x0, got.Value, got.SD, want)
		}
	}
	if got := logisticPrint(t, 3.9).rangeAtExposure(); got.Known() {
		t.Errorf("a tablet that ends 0.24 before paper white: %g", got.Value)
	}
}
