// Package opacity models how much ultraviolet ink on film stops. It holds models
// only; fits to readings are in calibration.
//
// For an ink ramp, UV density against film ink: start at Coverage, the physical
// mean, and Ramp, the mean with a smooth correction that follows what real
// printers do.
//
// From spectra: UV density is -log10 of what lamp, sensitiser, film and ink let
// act over what they do without the ink, summed over wavelength (ISO 5-1). Start
// at Route; FindLamp and FindSensitiser know generic ones, all approximate. It
// refuses to guess what a table leaves out. It predicts; a print decides.
package opacity
