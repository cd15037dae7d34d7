// Package photos carries the photograph of the demo inside the program. Its
// origin and licence stand in testdata/README.md.
package photos

import _ "embed"

// Dandelions is dandelions.jpg: 2400 x 1350 pixels, 8-bit sRGB, 300 ppi.
//
//go:embed dandelions.jpg
var Dandelions []byte
