package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"

	"actinic/process/calibration"
	"actinic/process/control"
	"actinic/process/fault"
)

// checkEnding is how the files of checks are named.
const checkEnding = ".check.json"

// checkFiles are checks that were read, all three alike in length and order.
type checkFiles struct {
	names  []string
	inputs []control.DriftInput
	hashed []calibration.Input
}

// readChecks reads the checks that the user named, and those in the folders that
// the user named. Every file that cannot be read is told.
func (a *app) readChecks(args []string) (checkFiles, error) {
	names, err := checkNames(args)
	if err != nil {
		return checkFiles{}, err
	}
	var files checkFiles
	var failures []error
	for _, name := range names {
		check, hashed, err := a.readHashedCheck(name)
		if err != nil {
			failures = append(failures, err)
			continue
		}
		files.names = append(files.names, name)
		files.inputs = append(files.inputs, control.DriftInput{File: inputName(name), Check: check})
		files.hashed = append(files.hashed, hashed)
	}
	if len(failures) > 0 {
		return checkFiles{}, &allFailedError{failures}
	}
	return files, nil
}

// readHashedCheck reads one check, and its hash with it: a file may change
// between two readings.
func (a *app) readHashedCheck(name string) (*control.Check, calibration.Input, error) {
	in, err := a.openInput(name)
	if err != nil {
		return nil, calibration.Input{}, err
	}
	defer in.Close()
	var content bytes.Buffer
	check, err := control.DecodeCheck(io.TeeReader(in, &content), inputName(name))
	if err != nil {
		return nil, calibration.Input{}, err
	}
	return check, calibration.NewInput(inputName(name), content.Bytes()), nil
}

// checkNames puts the checks of a folder in its place.
func checkNames(args []string) ([]string, error) {
	var names []string
	for _, arg := range args {
		about, err := os.Stat(arg)
		if err != nil || !about.IsDir() { // what cannot be opened is told when it is read
			names = append(names, arg)
			continue
		}
		inside, err := checksIn(arg)
		if err != nil {
			return nil, err
		}
		names = append(names, inside...)
	}
	return names, nil
}

// checksIn returns the checks of a folder, by name.
func checksIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if strings.HasSuffix(strings.ToLower(e.Name()), checkEnding) && !e.IsDir() {
			names = append(names, filepath.Join(folder, e.Name()))
		}
	}
	if len(names) == 0 {
		return nil, fault.New(folder, "", "the folder holds no file that ends in "+checkEnding,
			"name the folder that `actinic check -o` writes into")
	}
	sort.Strings(names)
	return names, nil
}

// since leaves out the checks from before a date; the zero date leaves out none.
func (f checkFiles) since(date time.Time) (checkFiles, error) {
	var kept checkFiles
	for i, in := range f.inputs {
		if in.When().Before(date) {
			continue
		}
		kept.names = append(kept.names, f.names[i])
		kept.inputs = append(kept.inputs, in)
		kept.hashed = append(kept.hashed, f.hashed[i])
	}
	if len(kept.inputs) == 0 {
		return kept, fault.New("", "--since", fmt.Sprintf("none of the %d checks is from %s or later", len(f.inputs), date.Format(time.DateOnly)),
			"name an earlier date")
	}
	return kept, nil
}

// dateFlag is a flag that takes a day, whose first moment it is, in UTC.
type dateFlag time.Time

func (f *dateFlag) Set(text string) error {
	t, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
	if err != nil {
		return errors.New("expected a date as year-month-day, as in 2026-05-01")
	}
	*f = dateFlag(t)
	return nil
}

func (f *dateFlag) String() string {
	if time.Time(*f).IsZero() {
		return ""
	}
	return time.Time(*f).Format(time.DateOnly)
}

func (f *dateFlag) Type() string { return "DATE" }
