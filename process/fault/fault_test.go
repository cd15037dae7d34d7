package fault_test

import (
	"errors"
	"fmt"
	"io"
	"testing"

	"actinic/process/fault"
)

func TestErrorLeavesOutWhatIsEmpty(t *testing.T) {
	for _, c := range []struct {
		err  *fault.Error
		want string
	}{
		{fault.New("a.csv", "line 7, column ink", "found x", "try y"), "a.csv: line 7, column ink: found x"},
		{fault.New("a.csv", "", "empty file", ""), "a.csv: empty file"},
		{fault.New("", "", "no file", ""), "no file"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestWrapKeepsTheCause(t *testing.T) {
	err := fault.Wrap(io.ErrUnexpectedEOF, "a.tif", "", "", "")
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error("the cause is lost")
	}
	if err.What != io.ErrUnexpectedEOF.Error() {
		t.Errorf("What = %q, want the text of the cause", err.What)
	}
	if w := fault.Wrap(io.EOF, "a.tif", "", "cut off", ""); w.What != "cut off" {
		t.Errorf("What = %q, want the text given", w.What)
	}
}

func TestInFile(t *testing.T) {
	if fault.InFile(nil, "a.csv") != nil {
		t.Error("nil did not stay nil")
	}
	var e *fault.Error
	inner := fault.New("", "line 2", "bad", "hint")
	if err := fault.InFile(fmt.Errorf("reading: %w", inner), "a.csv"); !errors.As(err, &e) || e.File != "a.csv" || e.Where != "line 2" || e.Hint != "hint" {
		t.Errorf("got %#v", err)
	}
	if inner.File != "" {
		t.Error("the error given was changed")
	}
	if err := fault.InFile(fault.New("b.csv", "", "bad", ""), "a.csv"); !errors.As(err, &e) || e.File != "b.csv" {
		t.Errorf("the file named first was replaced: %v", err)
	}
	if err := fault.InFile(io.EOF, "a.csv"); !errors.As(err, &e) || e.File != "a.csv" || !errors.Is(err, io.EOF) {
		t.Errorf("got %#v", err)
	}
}
