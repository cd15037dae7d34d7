package raster

import "bytes"

// exifData is what this package takes from EXIF (JEITA CP-3451, 2.3), which is
// a TIFF directory without a picture.
type exifData struct {
	orientation int
	ppiX, ppiY  float64
	description string
}

// parseExif reads EXIF data from its byte order mark on. It reports false when
// they make no sense: no picture is refused for them.
func parseExif(b []byte) (exifData, bool) {
	r, size := bytes.NewReader(b), int64(len(b))
	order, offset, err := tiffHeader("EXIF", r, size)
	if err != nil {
		return exifData{}, false
	}
	d, err := readIFD("EXIF", r, size, order, offset)
	if err != nil {
		return exifData{}, false
	}
	e := exifData{orientation: d.orientation(), description: d.text(tagDescription)}
	e.ppiX, e.ppiY = d.ppi()
	return e, true
}
