package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

// streams is the world as a command sees it. Tests bring their own.
type streams struct {
	in  io.Reader
	out io.Writer
	err io.Writer

	inTerminal  bool // in is a keyboard
	outTerminal bool // out is a screen
	errTerminal bool // err is a screen

	width    int        // of out in characters; 0 when it is no screen
	errWidth func() int // of err, as it is now; may be nil

	env func(name string) string // environment variable, "" when unset
}

// systemStreams returns the standard streams of the process.
func systemStreams() *streams {
	return &streams{
		in: os.Stdin, out: os.Stdout, err: os.Stderr,
		inTerminal:  term.IsTerminal(int(os.Stdin.Fd())),
		outTerminal: term.IsTerminal(int(os.Stdout.Fd())),
		errTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		width:       screenWidth(os.Stdout),
		errWidth:    func() int { return screenColumns(os.Stderr) },
		env:         os.Getenv,
	}
}

// widestText is the longest line that is still easy to read, in characters.
const widestText = 100

// screenWidth returns how many characters of text go on a line of f, 0 when f
// is no screen.
func screenWidth(f *os.File) int { return min(screenColumns(f), widestText) }

// screenColumns returns how many characters wide the screen f is, 0 when it is
// none or does not say.
func screenColumns(f *os.File) int {
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return columns
}

// coloured reports whether text on standard error may carry colour: only on a
// terminal that says what it is, and never when NO_COLOR is set to anything.
//
// Source: the NO_COLOR convention, https://no-color.org.
func (s *streams) coloured() bool {
	t := s.env("TERM")
	return s.errTerminal && s.env("NO_COLOR") == "" && t != "" && t != "dumb"
}

// paint returns text in bold red on a terminal that takes colour, else as it is.
func (s *streams) paint(text string) string {
	if !s.coloured() {
		return text
	}
	return "\x1b[1;31m" + text + "\x1b[0m"
}
