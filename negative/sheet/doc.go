// Package sheet places finished negatives on film, in millimetres, and writes
// the pages as PDF: picture, marks, label, check strip, rulers and the notes
// that keep a printer from scaling or laying the film the wrong way round.
//
// Start with ParseFilmOrRoll, Layout and Write. Layout decides where everything goes
// and needs sizes only; Write draws, and streams the pictures row by row, so
// that a sheet needs memory for a few rows and not for a picture.
//
// Layout keeps to rows in the order given (packrows.go) where that takes no more
// film than a tight packing (packtight.go, packsearch.go, packskyline.go). Charts
// go on as they are, large ones on sheets of their own (packcharts.go).
//
// Positions are as seen from above on the film that lies ink side down: x to
// the right, y down, from the film's top-left corner. The printed page is the
// mirror image of that. Text and marks are mirrored by this package; pictures
// come as they are to be printed and are never mirrored here.
//
// It refuses what does not fit the film: nothing is ever scaled, cut or drawn
// over something else. It knows no tone curve: the fill of each check-strip
// patch is given to it in printer values.
package sheet
