package main

import (
	"encoding/json"
	"fmt"
	"io"
)

// globalOptions are the flags that every command takes.
type globalOptions struct {
	json    bool
	quiet   bool
	force   bool
	version bool
	jobs    int // pictures worked on at a time; 0 means one a core
}

// check returns a usage error for a global flag outside its range.
func (o *globalOptions) check() error {
	if o.jobs >= 0 {
		return nil
	}
	return &usageError{
		where: "--jobs",
		what:  fmt.Sprintf("%d is less than 0", o.jobs),
		hint:  "write --jobs N with N from 1 up, or 0 for one for each processor core",
	}
}

// app is what every command is given: where to read and write, and the global
// flags, which are filled in before the command runs.
type app struct {
	*streams
	global globalOptions
}

// print shows a result that the user asked for: value as one JSON object on one
// line with --json, otherwise whatever text writes. --quiet does not suppress it.
func (a *app) print(value any, text func(w io.Writer) error) error {
	if a.global.json {
		return a.printJSON(value)
	}
	return text(a.out)
}

// printJSON writes value as one JSON object on one line of standard output.
func (a *app) printJSON(value any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	return enc.Encode(value)
}

// notice tells the user something in passing, on standard error, one line a
// call. It is silent with --quiet and with --json, where a command puts its
// notices in its object instead.
func (a *app) notice(format string, args ...any) {
	if a.global.quiet || a.global.json {
		return
	}
	fmt.Fprintf(a.err, "actinic: note: %s\n", oneLine(fmt.Sprintf(format, args...)))
}
