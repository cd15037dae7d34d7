// Package typeface sets single lines of text in any script on PDF pages: names
// of people and pictures, as they are written where they come from. Letters are
// joined, marked and ordered as their script asks; text that is written from
// right to left is.
//
// The fonts are free ones (fonts/README.md) and lie packed in the program; one
// is unpacked when a text first needs it. Letters that the PDF library can show
// by itself, Latin, Greek and Cyrillic, are text on the page. All others are
// drawn as outlines, with the same text laid over them invisibly, so that it can
// be searched and copied.
//
// It refuses nothing and loses nothing in silence: a letter that no font has is
// shown as an empty box, and Line.Missing names it. Control characters, line
// breaks and marks that would change the order of other text never reach a page
// (Clean), and no heap of accents leaves its line.
//
// Start with Setter.Set; Draw puts its result on a page.
package typeface
