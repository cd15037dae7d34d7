// Package sensitometry says what a characteristic curve means to a printmaker:
// paper and maximum density, the points at which tone starts and black is
// reached, exposure scale, needed range, gradients and the first-black
// exposure. The curve itself is Form; a Curve gives it densities and the span
// over which it was read. Fits to readings are in calibration.
//
// It refuses to give a point that lies outside the readings: *RangeError says
// which end is missing and by how much.
package sensitometry
