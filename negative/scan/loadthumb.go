package scan

import "math"

// thumbnail is a scan made small, in the colours of the file: for the picture
// that is shown, and to judge colour.
type thumbnail struct {
	width, height int
	reduced       int      // scan pixels to one of the thumbnail
	pixels        []uint16 // red, green, blue as encoded
	channels      int      // of the scan
	linear        bool     // the samples are light itself
}

func newThumbnail(width, height, reduced, channels int) *thumbnail {
	t := &thumbnail{width: width / reduced, height: height / reduced, reduced: reduced, channels: channels}
	t.pixels = make([]uint16, 3*t.width*t.height)
	return t
}

// take makes row y of one row of the scan, the middle one of those it stands
// for; along the row all pixels are averaged.
func (t *thumbnail) take(y int, row []uint16) {
	if y >= t.height {
		return
	}
	out := t.pixels[3*y*t.width : 3*(y+1)*t.width]
	for x := range t.width {
		for c := range 3 {
			out[3*x+c] = t.mean(row, x, min(c, t.channels-1))
		}
	}
}

func (t *thumbnail) mean(row []uint16, x, channel int) uint16 {
	sum := uint32(0)
	for i := x * t.reduced; i < (x+1)*t.reduced; i++ {
		sum += uint32(row[i*t.channels+channel])
	}
	return uint16(sum / uint32(t.reduced))
}

// turnOver mirrors left to right.
func (t *thumbnail) turnOver() {
	for y := range t.height {
		row := t.pixels[3*y*t.width : 3*(y+1)*t.width]
		for i, j := 0, t.width-1; i < j; i, j = i+1, j-1 {
			for c := range 3 {
				row[3*i+c], row[3*j+c] = row[3*j+c], row[3*i+c]
			}
		}
	}
}

// shown returns a sample as a screen shows it, 0 to 255.
func (t *thumbnail) shown(v uint16) uint8 {
	if !t.linear {
		return uint8(v >> 8)
	}
	y := float64(v) / (codes - 1)
	if y <= 0.0031308 {
		return uint8(math.Round(255 * 12.92 * y))
	}
	return uint8(math.Round(255 * (1.055*math.Pow(y, 1/2.4) - 0.055))) // IEC 61966-2-1:1999
}

// light returns the linear sRGB of a pixel, taking its samples as sRGB unless
// they are light.
func (t *thumbnail) light(x, y int) (r, g, b float64) {
	at := 3 * (y*t.width + x)
	return t.decode(t.pixels[at]), t.decode(t.pixels[at+1]), t.decode(t.pixels[at+2])
}

func (t *thumbnail) decode(v uint16) float64 {
	y := float64(v) / (codes - 1)
	switch {
	case t.linear:
		return y
	case y <= 0.04045:
		return y / 12.92
	}
	return math.Pow((y+0.055)/1.055, 2.4)
}
