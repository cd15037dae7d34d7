// Package opacity models how much ultraviolet an ink ramp on film stops: UV
// density against film ink. It holds the models only; fits to readings are in
// calibration. Start at Coverage, the physical mean, and Ramp, the mean with a
// smooth correction that follows what real printers do.
package opacity
