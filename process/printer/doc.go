// Package printer says how much ultraviolet the colours of one printer stop on
// film: a model of UV density over the whole RGB cube, fitted to measured
// colours; which colour serves best as ink colour; and the ink blend, a way
// through RGB along which UV density rises evenly.
//
// It sees UV densities, not readings of prints: calibration finds those. It
// refuses to predict without measured colours, and says of each prediction how
// far it may be off.
//
// Start at Fit, then Rank and NewBlend.
package printer
