// Package examples is the invented scenario that the demo works through: whose
// darkroom it is, what its prints and scans look like, and how close a negative
// comes there.
//
// All of it is simulated in the virtual darkroom, and says so where it is shown.
// The folder first-cyanotype holds the same print as an instrument reads it,
// ink-colour those of a search for the ink colour and of what follows.
package examples
