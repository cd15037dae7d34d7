// Package letters draws lines of text for films as small pictures of ink and no
// ink, from a bitmap font, so that they are the same on each processor.
//
// It knows no millimetres and no ink colour: whoever draws stretches a Mask to
// the size wanted.
//
// Start reading at Line.
package letters
