// Package handout makes the pages that lie beside the tray: for a person of a
// class, or for a process, the print to expect, the exposure to start from, the
// steps with their times, what to measure out, what to watch for, and every
// hazard of the chemicals in words. They are a PDF on office paper, black and
// grey, that a copier takes.
//
// It works nothing out but places on the page: figures come from process cards,
// coating plans and calibrations, and each stands with its source. Text that does
// not fit goes on to a further page, which says whose it is; nothing is cut but
// names that are longer than their line. The standing caution, that suppliers'
// safety data sheets, local rules and licensed practice take precedence, is on
// every page.
//
// It refuses to guess: without a calibration the exposure is the usual range of
// the process, and says so; a picture whose print is not known has an empty frame.
//
// Start with Handout and Write.
package handout
