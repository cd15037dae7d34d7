// Command actinic makes negatives on inkjet film for contact printing in
// hand-coated processes.
//
// A command here parses its flags, makes one call into the library below it
// (packages process and negative), and prints text or JSON. It refuses to do
// arithmetic: a number that a user sees was worked out in a package that has
// tests for it.
//
// Start reading in run.go: run takes the arguments and the streams, builds the
// command tree of root.go, and maps whatever comes back to an exit code in
// errors.go. Each command is a newX function, an XOptions struct and a runX
// function in a file of its own; tests call runX or run, never main.
package main
