// Package batch makes finished films of pictures: one picture or a folder of
// them, each into a file of its own, some at a time.
//
// It joins what the rooms beside it do: raster reads and writes, profile turns
// samples into light, tone makes the film, output gives the file its name. A
// finished film carries a Description, so that whoever places it on a sheet
// knows what it is.
//
// It refuses two pictures that would become one file before anything is made,
// and leaves out no picture in silence: each that fails is named.
//
// Start reading at Plan and Recipe.Make.
package batch
