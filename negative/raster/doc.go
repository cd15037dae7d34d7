// Package raster brings pictures in and out as rows: TIFF, PNG and JPEG in,
// TIFF and PNG out, with size, resolution, orientation and colour profile.
//
// A Source yields rows of 16-bit encoded samples, top to bottom as stored; a
// Sink takes rows in order. Nothing else is asked of either, so what lies behind
// them may hold a strip, a row or the whole picture; Header says which, and how
// many bytes, before anything is decoded. TIFF and PNG flow by rows in and out;
// JPEG, JPEG in one strip of a TIFF, and interlaced PNG hold the picture. Where
// rows can be reached from anywhere a source is a Forker: several goroutines
// decode it at once. A StripSink takes strips that several goroutines packed.
//
// Samples stay encoded as in the file: package profile turns them into light.
// CMYK keeps its four inks, of L*a*b* only L* is read (see Space).
// Transparency is composited on white (see Header.Channels). Nothing is resampled
// or converted between colour spaces here.
//
// What the package cannot read gives an UnsupportedError that names the feature;
// what is broken gives a FormatError that says where. Both come inside a
// *fault.Error with the file's name and a hint. Sizes are checked against the
// file before memory is taken, so that a few bytes cannot claim gigabytes.
//
// Start reading at Source, Open, NewTIFF and NewPNG.
package raster
