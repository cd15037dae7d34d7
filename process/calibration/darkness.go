package calibration

// Darkness returns the grey of the film at a picture tone of 0 to 100 as a
// printer takes it: 0 for white, no ink, to 100 for black. It is Ink where the
// ink ramp runs from white to black, and means something for neutral ramps
// only.
func (k *InkCurve) Darkness(tone float64) float64 {
	return 100 - 100*k.Device(k.Ink(tone))[0]
}
