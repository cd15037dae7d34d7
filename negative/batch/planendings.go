package batch

import (
	"path/filepath"
	"strings"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// endings are the names that count as pictures in a folder, and what those are
// that cannot be read. The lists are from memory; a picture with another ending
// can be named itself, its content tells what it is.
var endings = pictureEndings()

func pictureEndings() map[string]string {
	known := map[string]string{}
	for kind, list := range map[string]string{
		"":                           "tif tiff png jpg jpeg",
		"BMP":                        "bmp dib",
		"GIF":                        "gif",
		"WebP":                       "webp",
		"HEIC":                       "heic heif hif",
		"AVIF":                       "avif",
		"a layered editor file":      "psd psb xcf kra ora",
		"JPEG 2000":                  "jp2 j2k jpf jpx j2c",
		"JPEG XL":                    "jxl",
		"JPEG XR":                    "jxr wdp hdp",
		"OpenEXR":                    "exr",
		"Radiance HDR":               "hdr",
		"TGA":                        "tga",
		"a plain bitmap (PNM)":       "ppm pgm pbm pnm pam",
		"DPX":                        "dpx cin",
		"a JPEG under an odd ending": "jpe jfif",
		"camera raw": "dng cr2 cr3 crw nef nrw arw sr2 srf raf orf rw2 pef srw 3fr fff iiq mos mef mrw " +
			"erf kdc dcr rwl x3f raw gpr",
	} {
		for ending := range strings.FieldsSeq(list) {
			known["."+ending] = kind
		}
	}
	return known
}

// kindOf tells by a file's ending whether it is a picture, and what kind where
// that cannot be read.
func kindOf(name string) (kind string, picture bool) {
	kind, picture = endings[strings.ToLower(filepath.Ext(name))]
	return kind, picture
}

// unread is the error for a picture of a kind that cannot be read.
func unread(name, kind string) error {
	err := &raster.UnsupportedError{Format: "file", Feature: kind}
	switch kind {
	case "camera raw":
		err.Fix = "develop it in a raw converter and save it as 16-bit TIFF"
	case "a JPEG under an odd ending":
		err.Fix = "rename it to end in .jpg"
	}
	return fault.Wrap(err, name, "", err.Error(), err.Hint())
}
