package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/process/fault"
)

func TestOpenInput(t *testing.T) {
	a, _, _ := newTestApp(nil)
	a.in = strings.NewReader("piped")
	in, err := a.openInput("-")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	if text, err := io.ReadAll(in); string(text) != "piped" || err != nil {
		t.Errorf("standard input gave %q, %v", text, err)
	}
	a.inTerminal = true
	if _, err := a.openInput("-"); !hasHint(err) {
		t.Errorf("the keyboard as a file gave %v, want an error with a hint", err)
	}
	if _, err := a.openInput(filepath.Join(t.TempDir(), "none.csv")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a missing file gave %v", err)
	}
	if got := inputName("-"); got != "standard input" {
		t.Errorf("inputName(-) = %q", got)
	}
}

// hasHint reports whether err is one that tells a user what to do.
func hasHint(err error) bool {
	var user *fault.Error
	return errors.As(err, &user) && user.Hint != ""
}

func write(text string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, text); return err }
}

// failing writes something and then fails, as an encoder does half-way.
func failing(w io.Writer) error {
	return errors.Join(write("half")(w), errors.New("no ink"))
}

func TestWriteOutputToStandardOutput(t *testing.T) {
	tests := []struct {
		name     string
		kind     content
		terminal bool
		write    func(io.Writer) error
		ok       bool
		want     string
	}{
		{"text to a screen", textContent, true, write("tone,ink\n"), true, "tone,ink\n"},
		{"binary to a pipe", binaryContent, false, write("II*\x00"), true, "II*\x00"},
		{"binary to a screen", binaryContent, true, write("II*\x00"), false, ""},
		{"half a file", textContent, false, failing, false, ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			a, out, _ := newTestApp(nil)
			a.outTerminal = test.terminal
			err := a.writeOutput("-", test.kind, nil, test.write)
			if (err == nil) != test.ok || out.String() != test.want {
				t.Errorf("error %v, standard output %q; want success %v, %q", err, out, test.ok, test.want)
			}
		})
	}
}

func TestWriteOutputToFile(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "r.csv")
	a, _, _ := newTestApp(nil)
	if err := a.writeOutput(name, textContent, nil, failing); err == nil {
		t.Error("a failed write was no error")
	}
	wantFolder(t, folder)
	if err := a.writeOutput(name, textContent, []string{"-"}, write("one")); err != nil {
		t.Fatal(err)
	}
	if err := a.writeOutput(name, textContent, nil, write("two")); !hasHint(err) {
		t.Errorf("replacing a file without --force gave %v", err)
	}
	wantText(t, name, "one")
	a.global.force = true
	if err := a.writeOutput(name, textContent, []string{name}, write("two")); !hasHint(err) {
		t.Errorf("writing over the input gave %v", err)
	}
	wantText(t, name, "one")
	if err := a.writeOutput(name, textContent, nil, write("two")); err != nil {
		t.Fatal(err)
	}
	wantText(t, name, "two")
	wantFolder(t, folder, "r.csv")
}

func wantText(t *testing.T, name, want string) {
	t.Helper()
	if got, err := os.ReadFile(name); err != nil || string(got) != want {
		t.Errorf("%s holds %q, %v, want %q", filepath.Base(name), got, err, want)
	}
}

func wantFolder(t *testing.T, folder string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}
