package calibration

import (
	"bufio"
	"fmt"
	"io"

	"actinic/process/measure/delimited"
)

// WriteCurveCSV writes the curve as a table: tone, ink, aim_lstar, tone_sd,
// print_sd and, with a step tablet, uv_density; units as in the file.
func (c *Calibration) WriteCurveCSV(w io.Writer) error {
	b := bufio.NewWriter(w)
	columns := [][]float64{c.Curve.Tone, c.Curve.Ink, c.Curve.AimLstar, c.Curve.ToneSD, c.Curve.PrintSD}
	fmt.Fprint(b, "tone,ink,aim_lstar,tone_sd,print_sd")
	if c.Curve.UVDensity != nil {
		columns = append(columns, c.Curve.UVDensity)
		fmt.Fprint(b, ",uv_density")
	}
	for i := range c.Curve.Tone {
		for k, column := range columns {
			separator := ","
			if k == 0 {
				separator = "\n"
			}
			fmt.Fprint(b, separator, delimited.FormatNumber(column[i]))
		}
	}
	fmt.Fprintln(b)
	return b.Flush()
}
