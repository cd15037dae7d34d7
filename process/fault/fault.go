// Package fault holds the one error type that a person at the command line is
// meant to read: which file, where in it, what was found and expected, and what
// to do about it. Packages that take what users bring return *Error; the
// command line prints it as two lines or as JSON.
package fault

import (
	"errors"
	"strings"
)

// Error is a problem with something the user brought.
type Error struct {
	File  string // name as the user gave it, "" when no file is at fault
	Where string // place in the file: "line 7, column print_lstar"; may be ""
	What  string // what was found, and what was expected
	Hint  string // what to do; may be ""
	Err   error  // the cause, for errors.Is; may be nil
}

// New returns an Error without a cause.
func New(file, where, what, hint string) *Error {
	return &Error{File: file, Where: where, What: what, Hint: hint}
}

// Wrap returns an Error that keeps err as its cause and, when what is empty,
// takes its text from it.
func Wrap(err error, file, where, what, hint string) *Error {
	if what == "" && err != nil {
		what = err.Error()
	}
	return &Error{File: file, Where: where, What: what, Hint: hint, Err: err}
}

// Error returns "FILE: WHERE: WHAT" with the empty parts left out. The hint is
// not part of it: whoever shows the error shows the hint on its own line.
func (e *Error) Error() string {
	parts := make([]string, 0, 3)
	for _, p := range []string{e.File, e.Where, e.What} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ": ")
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// InFile returns err as an *Error that names file, keeping the place, text and
// hint it already has. A nil err stays nil.
func InFile(err error, file string) error {
	if err == nil {
		return nil
	}
	var e *Error
	if errors.As(err, &e) {
		c := *e
		if c.File == "" {
			c.File = file
		}
		return &c
	}
	return Wrap(err, file, "", "", "")
}
