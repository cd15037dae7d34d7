package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"unicode"

	"actinic/process/fault"
)

// Exit codes. The root help repeats them.
const (
	exitDone        = 0   // done
	exitFailed      = 1   // failed, nothing written
	exitUsage       = 2   // the command line was wrong
	exitPartial     = 3   // finished, but some inputs failed
	exitTolerance   = 4   // measured, and out of tolerance
	exitInterrupted = 130 // stopped by the user
)

// usageError is a command line that can't be carried out as it stands.
type usageError struct {
	where string // the flag or argument at fault, may be ""
	what  string
	hint  string
}

func (e *usageError) Error() string {
	if e.where == "" {
		return e.what
	}
	return e.where + ": " + e.what
}

// partialError is a command that finished although some of its inputs failed.
// Each failure names its file.
type partialError struct {
	failures []error
}

func (e *partialError) Error() string { return errors.Join(e.failures...).Error() }

// allFailedError is a command none of whose inputs worked: nothing was written,
// and each failure names its file.
type allFailedError struct {
	failures []error
}

func (e *allFailedError) Error() string { return errors.Join(e.failures...).Error() }

// stoppedError is a batch that was interrupted. What it had made by then stays;
// each failure until then names its file.
type stoppedError struct {
	ended, pictures int
	failures        []error
}

func (e *stoppedError) Error() string {
	return fmt.Sprintf("interrupted after %d of %d pictures", e.ended, e.pictures)
}

// Unwrap makes it an interruption.
func (e *stoppedError) Unwrap() error { return context.Canceled }

// toleranceError is a measurement that went well and gave a result outside the
// tolerance. The result itself is on standard output already.
type toleranceError struct {
	file string // the readings
	what string // by how much, against what
	hint string
}

func (e *toleranceError) Error() string { return e.file + ": " + e.what }

// exitCode maps an error to the exit code of the program.
func exitCode(err error) int {
	var usage *usageError
	var partial *partialError
	var tolerance *toleranceError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &usage):
		return exitUsage
	case errors.As(err, &partial):
		return exitPartial
	case errors.As(err, &tolerance):
		return exitTolerance
	default:
		return exitFailed
	}
}

// message is an error as the user is shown it, and its form with --json.
type message struct {
	Error string `json:"error"`
	File  string `json:"file"`
	Where string `json:"where"`
	Hint  string `json:"hint"`
	Code  int    `json:"code"`
}

// reportError shows err on standard error: one message, or one for each input
// of a partialError or allFailedError, or that failed before a stoppedError.
func (a *app) reportError(err error) {
	code := exitCode(err)
	for _, failure := range failuresOf(err) {
		a.show(explain(failure), code)
	}
}

// failuresOf returns the failures inside an error, each to be told by itself.
func failuresOf(err error) []error {
	var partial *partialError
	var all *allFailedError
	var stopped *stoppedError
	switch {
	case errors.As(err, &stopped):
		return append(slices.Clone(stopped.failures), err)
	case errors.Is(err, context.Canceled):
		return []error{err}
	case errors.As(err, &partial):
		return partial.failures
	case errors.As(err, &all):
		return all.failures
	}
	return []error{err}
}

// show writes one message, as two lines or as one line of JSON.
func (a *app) show(m message, code int) {
	if a.global.json {
		m.Code = code
		// A message is strings and a number: it always encodes.
		enc := json.NewEncoder(a.err)
		enc.SetEscapeHTML(false)
		_ = enc.Encode(m)
		return
	}
	parts := []string{a.paint("actinic: error")}
	for _, part := range []string{m.File, m.Where, m.Error} {
		if part != "" {
			parts = append(parts, oneLine(part))
		}
	}
	fmt.Fprintln(a.err, strings.Join(parts, ": "))
	if m.Hint != "" {
		fmt.Fprintf(a.err, "actinic: hint: %s\n", oneLine(m.Hint))
	}
}

// explain turns an error into the message to show for it.
func explain(err error) message {
	var usage *usageError
	var tolerance *toleranceError
	var user *fault.Error
	var path *fs.PathError
	var stopped *stoppedError
	switch {
	case errors.As(err, &stopped):
		return message{Error: stopped.Error(), Hint: "no film was left half written; the same command again goes on from there"}
	case errors.Is(err, context.Canceled):
		return message{Error: "interrupted", Hint: "no file was left half written; run the command again"}
	case errors.As(err, &usage):
		return message{Where: usage.where, Error: usage.what, Hint: usage.hint}
	case errors.As(err, &tolerance):
		return message{File: tolerance.file, Error: tolerance.what, Hint: tolerance.hint}
	case errors.As(err, &user):
		return message{File: user.File, Where: user.Where, Error: user.What, Hint: user.Hint}
	case errors.As(err, &path):
		return explainPath(path)
	default:
		return message{Error: err.Error()}
	}
}

// explainPath words what the operating system says about a file.
func explainPath(err *fs.PathError) message {
	m := message{File: err.Path, Error: err.Err.Error()}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		m.Error, m.Hint = "no such file", "check the name, and the folder you are in"
	case errors.Is(err, fs.ErrPermission):
		m.Error, m.Hint = "not allowed to "+err.Op+" it", "check who owns the file and its folder"
	}
	return m
}

// oneLine returns text on one line, without characters that steer a terminal:
// file names come from anywhere.
func oneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text)
}
