package raster

import (
	"errors"
	"fmt"
	"io"

	"actinic/process/fault"
)

// FormatError says that a file is not what its format demands: it is damaged,
// cut short or made wrongly.
type FormatError struct {
	Format string // "TIFF", "PNG", "JPEG"
	Where  string // "strip 3", "chunk IDAT"; may be empty
	What   string // what was found, and what was expected
}

func (e *FormatError) Error() string {
	if e.Where == "" {
		return e.Format + ": " + e.What
	}
	return e.Format + ": " + e.Where + ": " + e.What
}

// Hint says what the user can do.
func (e *FormatError) Hint() string {
	return "the file is damaged or cut short: copy it again, or open it in an editor and save it anew"
}

// UnsupportedError says that a file may be right but uses something that this
// package does not read.
type UnsupportedError struct {
	Format  string // "TIFF"; "file" when the format itself is the feature
	Feature string // "CMYK colours (photometric interpretation 5)"
	Fix     string // what to do; empty for the general advice
}

func (e *UnsupportedError) Error() string {
	return e.Format + ": " + e.Feature + " cannot be read"
}

// Hint says what the user can do.
func (e *UnsupportedError) Hint() string {
	if e.Fix != "" {
		return e.Fix
	}
	return "save the picture as 8- or 16-bit grey or RGB TIFF, PNG or JPEG"
}

func unsupported(format, feature string, args ...any) error {
	return &UnsupportedError{Format: format, Feature: fmt.Sprintf(feature, args...)}
}

func broken(format, where, what string, args ...any) error {
	return &FormatError{Format: format, Where: where, What: fmt.Sprintf(what, args...)}
}

// inFile returns err as a *fault.Error that names the file and keeps err as its
// cause. io.EOF and nil pass.
func inFile(err error, name string) error {
	if err == nil || err == io.EOF {
		return err
	}
	var f *FormatError
	if errors.As(err, &f) {
		return fault.Wrap(err, name, f.Where, f.What, f.Hint())
	}
	var u *UnsupportedError
	if errors.As(err, &u) {
		return fault.Wrap(err, name, "", u.Error(), u.Hint())
	}
	return fault.InFile(err, name)
}
