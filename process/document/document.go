// Package document reads the program's own JSON files: those that carry a format
// and a version.
//
// It refuses what is no such file, what is too long to be one, a higher version,
// and fields that it does not know. What the fields may hold is checked by the
// package whose file it is.
//
// Start at Form.
package document

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"time"

	"actinic/process/fault"
)

// Form is one kind of file.
type Form struct {
	Format  string // the file's name for itself
	Version int    // the highest that is read; the lowest is 1
	Noun    string // for messages: "a chart"
	Command string // that writes it: "actinic chart"
	File    string // how it is named: "NAME.chart.json"
	MostMiB int    // that a file is read to
}

// Decode reads a file of the form into the struct that into points to. name is
// the file's, for messages. Errors are *fault.Error.
func (f Form) Decode(r io.Reader, name string, into any) error {
	most := f.MostMiB << 20
	text, err := io.ReadAll(io.LimitReader(r, int64(most)+1))
	if err != nil {
		return fault.Wrap(err, name, "", "", "")
	}
	if len(text) > most {
		return fault.New(name, "", fmt.Sprintf("is over %d MiB, too long for %s", f.MostMiB, f.Noun), f.hint())
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")) // editors put it there
	headed := f.headed(text)
	if !headed {
		if err := f.checkHead(text, name); err != nil {
			return err
		}
	}
	err = strict(text, into)
	if err != nil && headed { // not yet looked at whole
		if wrong := f.checkHead(text, name); wrong != nil {
			return wrong
		}
	}
	if err != nil {
		where, what := place(err, text)
		return fault.Wrap(err, name, where, what, f.AsWritten())
	}
	return nil
}

// strict decodes one JSON value with known fields only and nothing after it.
func strict(text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows the end of the file's data")
	}
	return nil
}

// withArticle puts a or an before the name of a JSON value.
func withArticle(value string) string {
	if strings.HasPrefix(value, "array") || strings.HasPrefix(value, "object") {
		return "an " + value
	}
	return "a " + value
}

// place says where in text a decoding error lies, as far as the error tells, and
// what was found there; "" leaves that to the error.
func place(err error, text []byte) (where, what string) {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		where = line(text, int(wrong.Offset))
		if wrong.Field != "" {
			where += ", field " + wrong.Field
		}
		return where, "found " + withArticle(wrong.Value) + ", expected " + wanted(wrong.Type)
	}
	if _, field, found := strings.Cut(err.Error(), "unknown field "); found {
		return line(text, bytes.Index(text, []byte(field))), "unknown field " + field
	}
	if late := (*time.ParseError)(nil); errors.As(err, &late) || strings.HasPrefix(err.Error(), "Time.") {
		return "field made", "expected a time, as 2026-05-31T12:00:00Z"
	}
	return "", ""
}

// wanted names what JSON a Go type is read from.
func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Pointer:
		return wanted(t.Elem())
	case reflect.String:
		return "a string"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice, reflect.Array:
		return "a list"
	case reflect.Struct, reflect.Map:
		return "an object"
	case reflect.Int, reflect.Int64:
		return "a whole number"
	}
	return "a number"
}

// line is the line of text that holds a byte, "" where there is none.
func line(text []byte, at int) string {
	if at < 0 || at > len(text) {
		return ""
	}
	return fmt.Sprintf("line %d", 1+bytes.Count(text[:at], []byte("\n")))
}

// AsWritten is the hint for a file that someone changed.
func (f Form) AsWritten() string { return "use the file as `" + f.Command + "` wrote it" }

func (f Form) hint() string { return fmt.Sprintf("give the %s that `%s` wrote", f.File, f.Command) }

// headed says whether the text begins with the right format and version, as we
// write it: then there is no need to go through all of it for them.
func (f Form) headed(text []byte) bool {
	d := json.NewDecoder(bytes.NewReader(text[:min(len(text), 256)]))
	for _, want := range []json.Token{json.Delim('{'), "format", f.Format, "version"} {
		if got, err := d.Token(); err != nil || got != want {
			return false
		}
	}
	version, err := d.Token()
	v, number := version.(float64)
	return err == nil && number && v == float64(int(v)) && v >= 1 && v <= float64(f.Version)
}

// checkHead refuses what is no such file, by its format and version wherever
// they stand.
func (f Form) checkHead(text []byte, name string) error {
	var head struct {
		Format  string `json:"format"`
		Version int    `json:"version"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		if wrong := (*json.UnmarshalTypeError)(nil); errors.As(err, &wrong) {
			where, what := place(err, text)
			if wrong.Field == "" {
				where, what = "", "is not "+f.Noun+": "+what
			}
			return fault.Wrap(err, name, where, what, f.hint())
		}
		return fault.Wrap(err, name, "", "is not "+f.Noun+": "+err.Error(), f.hint())
	}
	if head.Format != f.Format {
		return fault.New(name, "field format", fmt.Sprintf("found %q, expected %q", head.Format, f.Format), f.hint())
	}
	if head.Version > f.Version || head.Version < 1 {
		return fault.New(name, "field version", fmt.Sprintf("found %d, this program reads 1 to %d", head.Version, f.Version),
			"use the program that wrote it, or a newer one")
	}
	return nil
}
