// Package class makes class sets: the negatives of a roster, which says for each
// person which picture, for which process, how large and how often.
//
// Read takes the roster, Plan looks at every picture's header and turns rows into
// items that sheet can place, and Map says where each came to lie. The films are
// made while the sheet is written, row by row; no file of theirs is kept, so
// nothing on disk is named after a person.
//
// All that is wrong with a roster is told at once, each with its line, before
// anything is written. A roster names pictures of its own folder, or of one other
// folder, and none elsewhere.
//
// Start with Read and Plan.
package class
