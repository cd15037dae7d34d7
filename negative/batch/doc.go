// Package batch makes finished films of pictures: one picture or a folder of
// them, each into a file of its own, some at a time.
//
// It joins what the rooms beside it do: raster reads and writes, profile turns
// samples into light, tone makes the film, output gives the file its name. A
// finished film carries a Description, so that whoever places it on a sheet
// knows what it is.
//
// Plan finds the pictures, Share takes a part of them for one of several
// machines, and Recipe.Run makes their films: it reads the headers, lets as many
// pictures in as cores and memory allow, and leaves a record of each film, by
// which a later run goes on where this one ended.
//
// It refuses two pictures that would become one file before anything is made,
// leaves out no picture in silence, and replaces no film that it does not know
// for the same work. A picture that is changed while it is read gives no film.
//
// Start reading at Plan and Recipe.Run.
package batch
