// Package measure reads and writes measurement files: readings of step tablets,
// ink ramps, ink colours and test strips, and spectra, as CSV or as ISO 28178 text
// (also known as CGATS.17).
//
// What a file holds is told by its columns. CSV, one header row:
//
//	tablet   step, tablet_density, strip
//	ramp     patch, ink, red, green, blue
//	colours  patch, red, green, blue
//	exposure patch, exposure_s or exposure_units (exactly one); 0 is unexposed paper
//	         each with print_density or print_lstar (exactly one)
//	         and, where known, print_a and print_b (CIE a*, b*), sd, spread, count, x_mm, y_mm, flag
//	spectra  wavelength_nm, then one column a sample
//
// The comment "# tablet_density is nominal" says of a tablet's file that nobody
// measured its densities.
//
// ISO 28178 text has SAMPLE_ID and D_VIS, LAB_L or XYZ_Y, and tells its kind by
// the private columns TABLET_DENSITY (or STEP_DENSITY), STEP, INK, STRIP,
// EXPOSURE_S, EXPOSURE_UNITS, or by RGB_R, RGB_G, RGB_B.
//
// An instrument knows patches by name only: with Options.ByPatch the patch and its
// print are enough, and chart.Match adds what the chart knows.
//
// Units: densities log10, paper included; L* and ink 0 to 100; printer code values
// 0 to 255; transmittance 0 to 1; positions in millimetres.
//
// It refuses, with file, line and column, whatever cannot be a reading: text in
// numbers, values outside the column's range, negative densities, repeated
// patches, unknown columns, and columns that look as if they held another unit.
// Nothing is clipped or left out. Errors are *fault.Error.
//
// Start at Read and Table; CheckKind, CheckCount and CheckSense are for the fits.
package measure
