// Package measure reads and writes measurement files: readings of step tablets,
// ink ramps and ink colours, and spectra, as CSV or as ISO 28178 text (also known
// as CGATS.17).
//
// What a file holds is told by its columns. CSV, one header row:
//
//	tablet   step, tablet_density, strip
//	ramp     patch, ink, red, green, blue
//	colours  patch, red, green, blue
//	         each with print_density or print_lstar (exactly one)
//	         and, where known, sd, spread, count, x_mm, y_mm, flag
//	spectra  wavelength_nm, then one column a sample
//
// ISO 28178 text has SAMPLE_ID and D_VIS, LAB_L or XYZ_Y, and tells its kind by
// the private columns TABLET_DENSITY (or STEP_DENSITY), STEP, INK, STRIP, or by
// RGB_R, RGB_G, RGB_B.
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
