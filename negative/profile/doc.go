// Package profile reads and writes ICC profiles (ISO 15076-1) as far as a
// monochrome print needs them.
//
// In: FromICC, Shared and SRGB return a Luminance, which turns rows of a picture's
// encoded 16-bit samples into linear light, CIE Y relative to the medium's
// white. It covers grey and RGB profiles with tone curves (kTRC; rTRC, gTRC,
// bTRC and a matrix), and grey, RGB and CMYK profiles with tables (A2B1, A2B0), of
// the classes scnr, mntr, prtr and spac. Luminance is that of the profile
// connection space: relative colorimetric, no black point compensation, so paper
// without ink is white. A picture that carries an sRGB profile and one that carries
// none so give the same film. Lightness is for pictures in L*a*b*.
//
// Out: WriteLink writes a calibration's curve as a device link from coded grey to
// the film, WriteCoded the profile of that grey, WriteTable the same curve as text;
// WriteGrey writes a grey printer profile, for programs that take no links.
//
// It refuses other colour spaces, device links, named colours and
// abstract profiles with *raster.UnsupportedError, and broken profiles with
// *raster.FormatError, which names the tag. The only
// colour profiles that it writes are of grey in RGB.
//
// Start reading at luminance.go, then fromicc.go; lattice.go
// and lut.go for tables; link.go for output.
package profile
