package raster

// Bounded returns o for files that are BigTIFF from n bytes on, so that tests
// need not write 4 gigabytes.
func (o TIFFOptions) Bounded(n int64) *TIFFOptions {
	o.classicBytes = n
	return &o
}

// OnAnotherMachine runs f without the shortcut for machines that keep the less
// significant byte first.
func OnAnotherMachine(f func()) {
	was := littleMachine
	littleMachine = false
	defer func() { littleMachine = was }()
	f()
}
