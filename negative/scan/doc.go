// Package scan reads a scanned contact print of a chart: it finds the page in
// the scan by its marks, tells which page it is by the code printed on it, and
// reads the patches and the step tablet.
//
// Start with [Read], which does all of it. [Locate] takes the scan as a [Plane]
// and the chart that was printed. It needs no resolution and no upright scan: the
// marks are looked for at every scale, turn and side, light on dark or dark on
// light. It wants four marks, or three and a code that reads, and it rather says
// which marks it misses than guess. What it returns, a [Warp], follows paper that
// shrank differently both ways and curled.
//
// What it refuses: a scan in which the marks cannot be told apart, a page of
// another chart, and a page of which too little is seen to know where the rest
// lies. Locate finds a print seen from the wrong side and says that it is
// mirrored; Read makes an error of that.
//
// To follow the finding of a page, read locate.go, which takes the steps in their
// order: marks.go finds what looks like a mark, constellation.go which of them are
// the page's, locatesettle.go looks for those that are missing, markscentre.go
// finds their centres, warpfit.go lays the page through them, code.go and codes.go
// read the code, and locatechoose.go decides.
//
// To follow the reading, take read.go: load.go brings the scan in row by row,
// readpage.go reads patches, box and window, patchread.go one area, strip.go and
// what follows it the step tablet, scalefit.go the tone by a grey scale. A reading
// is the print as it is there: light.go takes out only what bare paper shows to be
// the scanner's light; what is uneven in the print stays, for the fit to see. A
// patch that is not to be trusted keeps its reading and gets a flag.
package scan
