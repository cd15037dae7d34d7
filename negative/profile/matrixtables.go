package profile

// MatrixTables returns, where luminance is the sum of one table a channel (red,
// green, blue) limited to 0..1, these tables by encoded sample; else nil. They
// must not be changed. Who has a loop over pixels already need not call Row.
func (l *Luminance) MatrixTables() (r, g, b *[codes]float32) {
	for _, t := range l.tables {
		if len(t) != codes {
			return nil, nil, nil
		}
	}
	return (*[codes]float32)(l.tables[0]), (*[codes]float32)(l.tables[1]), (*[codes]float32)(l.tables[2])
}
