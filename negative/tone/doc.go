// Package tone turns a picture's rows into a film's: linear-light luminance,
// resampling, orientation and mirror, tone (L*), film ink by the calibration's
// curve, printer RGB or grey at 16 bits, the border that was asked for, and, as
// the very last step and only for 8 bits, error diffusion.
//
// It reads and writes no files: rows come from a raster.Source, their light from
// a Luminance, the curve from a Curve; a Film is a raster.Source again. It refuses sizes
// and parts that cannot be meant and curves that jump; it never clips in
// silence but for the overshoot of the resampling kernel, which is clamped to
// the picture's own range of black to white.
//
// The result is the same for any number of cores. Memory is a band of rows and
// the resampling ring; a picture that must be turned on its side or its head
// is held once as 4 bytes a pixel of the film (Header's HeldBytes).
//
// Start reading at Negative, then stages.read.
package tone
