package tone

import "actinic/negative/raster"

// Working values of ours, from runs on two cores: bands much smaller spend their
// time in hand-overs, much larger ones leave the second cache.
const (
	bandBytes = 512 << 10 // of a band of the film
	slabBytes = 1 << 20   // of the picture's rows that a band takes as light
)

// mostRows is the most rows of a band; tests set fewer to have many bands.
var mostRows int64 = 256

// bandHeight is how many rows a band has, of bytes each, that take slab bytes
// each as light: a multiple of unit, and of align if that is not much.
func bandHeight(bytes, slab int64, unit, align int) int {
	rows := max(min(bandBytes/max(bytes, 1), slabBytes/max(slab, 1), mostRows), 1)
	both := unit / common(unit, align) * align
	if int64(both) <= 2*rows {
		unit = both
	}
	return max(int(rows)/unit, 1) * unit
}

// common is the greatest common divisor (Euclid, Elements VII, 2).
func common(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// lightBytes is how much of the picture a row of a grid takes as light; nothing
// where the grid is kept, as rows then go straight to codes.
func lightBytes(g *grid) int64 {
	if g.kept() {
		return 0
	}
	return 4 * int64(g.across.count) * int64(g.down.sourcesOf(64)) / 64
}

// mostStrip is how much of a picture as light may be read for one band because
// its file keeps so many rows together.
const mostStrip = 8 << 20

// strips reports whether the file keeps few enough rows together to begin
// anywhere.
func strips(h raster.Header, g *grid) bool {
	return h.Access == raster.Whole || h.Access == raster.AnyRow &&
		(h.BandRows <= 1 || 4*int64(h.BandRows)*int64(g.across.count) <= mostStrip)
}

// flows reports whether the film's rows can be made in their order from where
// the picture's rows lie.
func flows(h raster.Header, g *grid, seeks bool) bool {
	return !g.turn.transpose && (!g.turn.flipY || seeks && strips(h, g))
}

// forks reports whether several workers may read the picture each for itself.
func forks(h raster.Header, g *grid, src raster.Source) bool {
	_, can := src.(raster.Forker)
	return can && strips(h, g)
}
