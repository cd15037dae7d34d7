// Package recipe holds the process cards and the chemicals: what a printmaker
// needs to know before the first print of a process, with the source of every
// figure, and what can hurt.
//
// It answers from data embedded in data/ (one JSON file a process; chemicals,
// pairs to keep apart, hazard statements, faults of prints, contrast controls, lamp
// limits and sources in files of their own). Nothing is computed from readings
// here: the figures are starting values, which the user's own calibration
// replaces.
//
// It refuses a name that fits no process or more than one. It gives no advice
// on treatment, disposal law or transport: the supplier's safety data sheet,
// local rules and licensed practice take precedence (StandingCaution).
//
// Start reading at Card, then Find and Card.Render. To add a process, add a
// file to data/processes; loading checks it against everything else.
package recipe
