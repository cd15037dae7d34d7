package batch

import (
	"path/filepath"
	"strings"

	"actinic/process/fault"
)

// Task is one picture and the file that its film goes to.
type Task struct {
	In, Out string
	// Rel is the picture's path below the folder that was named, with slashes, or
	// the base name of a picture that was named itself. It does not depend on
	// where folders lie, nor on what else is in them.
	Rel string
	// Refused says why there can be no film of it: a kind of picture that is not
	// read, a link that leads in a circle. Nil for all others.
	Refused error
	// Record says that the film goes into a folder of films and leaves a record
	// of how it was made, by which a later run passes it over.
	Record bool
}

// Formats of a film by the ending of its name.
const (
	TIFF = "tiff"
	PNG  = "png"
)

// FormatOf returns TIFF or PNG by the ending of a film's name, "" for another.
func FormatOf(name string) string {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".tif", ".tiff":
		return TIFF
	case ".png":
		return PNG
	}
	return ""
}

// endingOf is the ending of a film in a folder of films.
func endingOf(format string) string {
	if format == PNG {
		return ".png"
	}
	return ".tif"
}

func checkName(out string) error {
	if FormatOf(out) != "" {
		return nil
	}
	return fault.New(out, "", "expected a name that ends in .tif or .png", "end the name of a folder in /")
}
