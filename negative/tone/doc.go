// Package tone turns a picture's rows into a film's: linear-light luminance,
// resampling, orientation, rotation and mirror, tone (L*), film ink by the
// calibration's curve, printer RGB or grey at 16 bits, the border that was asked
// for, and, as the very last step and only for 8 bits, error diffusion.
//
// It reads and writes no files: rows come from a raster.Source, their light from
// a Luminance, the curve from a Curve; a Film is a raster.Source again. It
// refuses sizes and parts that cannot be meant and curves that jump; it never
// clips in silence but for the overshoot of the resampling kernel, which is
// clamped to the range of black to white.
//
// # How rows flow
//
// A film is made in bands of rows (run, engine.go). Workers take them in order
// (inOrder, parallel.go), each with a reader of its own where the picture's rows
// can be reached from anywhere, else one after the other through the same
// reader. Where no pixel is resampled, rows go from samples to codes in one loop
// (Pixels). Elsewhere a worker turns the picture's rows into slabs of light,
// resampled across, which bands next to each other share (maker, shelf), and
// makes its band's rows of them. Dithering runs from band to band in order; then
// the worker packs its band, and one goroutine writes all in order.
//
// A picture that is turned on its side, or whose rows lie upside down in a file
// that gives them from the top only, is read in as many passes as it takes to
// hold no more than Options.HeldBytes (passes.go). All other films take the
// memory of their bands, whatever the picture's height.
//
// Header's HeldBytes says before anything is read what making the film will take
// (engineheld.go). The result is the same, bit for bit, for any number of cores,
// any kind of file and any number of passes.
//
// Start reading at Negative, then run.work.
package tone
