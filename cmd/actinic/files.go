package main

import (
	"bytes"
	"io"
	"os"
	"slices"

	"actinic/negative/output"
	"actinic/process/fault"
)

// standardStream is the file name that means standard input or output.
const standardStream = "-"

// openInput opens a file that the user named; "-" is standard input, which is
// refused when it is the keyboard. Close what it returns.
func (s *streams) openInput(name string) (io.ReadCloser, error) {
	if name != standardStream {
		return os.Open(name)
	}
	if s.inTerminal {
		return nil, fault.New("standard input", "", "it is the keyboard, not a file",
			"name a file, or send one in: actinic ... - < FILE")
	}
	return io.NopCloser(s.in), nil
}

// inputName returns the name to use in messages for a file that the user named.
func inputName(name string) string {
	if name == standardStream {
		return "standard input"
	}
	return name
}

// content says whether a file may be shown on a screen.
type content int

const (
	textContent content = iota
	binaryContent
)

// destination is one output on its way. Nothing of it shows before Commit;
// Abort leaves nothing, and does nothing after Commit.
type destination interface {
	io.Writer
	Commit() error
	Abort()
}

// openOutput starts the output that the user named; "-" is standard output,
// which is refused for a binary file when it is a screen. inputs are the files
// that the command reads: none of them may be the output.
func (a *app) openOutput(name string, kind content, inputs ...string) (destination, error) {
	if name != standardStream {
		return output.Create(name, a.outputOptions(inputs...))
	}
	if kind == binaryContent && a.outTerminal {
		return nil, fault.New("standard output", "", "it is a screen, and the file is not text",
			"name a file with -o FILE, or send it on: actinic ... -o - > FILE")
	}
	return &standardOutput{to: a.out}, nil
}

// outputOptions returns what may be replaced, for a command that makes its
// files itself: what --force allows, and never one of inputs.
func (a *app) outputOptions(inputs ...string) output.Options {
	files := slices.DeleteFunc(slices.Clone(inputs), func(name string) bool { return name == standardStream })
	return output.Options{Force: a.global.force, Inputs: files}
}

// writeOutput makes the output called name from what write sends it. When
// write fails there is no output.
func (a *app) writeOutput(name string, kind content, inputs []string, write func(io.Writer) error) error {
	to, err := a.openOutput(name, kind, inputs...)
	if err != nil {
		return err
	}
	defer to.Abort()
	if err := write(to); err != nil {
		return err
	}
	return to.Commit()
}

// standardOutput holds what is written until Commit, so that a command that
// fails writes nothing to standard output either.
type standardOutput struct {
	held bytes.Buffer
	to   io.Writer
}

func (s *standardOutput) Write(p []byte) (int, error) { return s.held.Write(p) }

func (s *standardOutput) Commit() error {
	_, err := s.held.WriteTo(s.to)
	return err
}

func (s *standardOutput) Abort() { s.held.Reset() }
