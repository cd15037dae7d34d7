package batch

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"actinic/process/fault"
)

// finished returns the film of a task that is there already, made by the same
// work. It returns nil when no file is in its place, and fails with *fault.Error,
// whose cause is fs.ErrExist, when something else is there. The picture is read from in.
func finished(t Task, key string, in io.Reader) (*Film, error) {
	info, err := os.Stat(t.Out)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil || !info.Mode().IsRegular() {
		return nil, nil // the output says what is wrong with it
	}
	r, err := readRecord(t.Out)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, thereAlready(t.Out, "and no record says what it was made from")
	}
	if err != nil {
		return nil, thereAlready(t.Out, "and its record cannot be used: "+err.Error())
	}
	why, err := r.differs(t, key, info, in)
	if err != nil {
		return nil, err
	}
	if why != "" {
		return nil, thereAlready(t.Out, why)
	}
	return &Film{Input: t.In, Output: t.Out, Skipped: true, FilmForm: r.Film}, nil
}

// differs says how the record, the film in place and the work at hand do not go
// together; "" when they do. What is quick to see comes first.
func (r *record) differs(t Task, key string, film os.FileInfo, in io.Reader) (why string, err error) {
	const changed = "and is not what its record says: it was changed, or a run with --force stopped before it was replaced"
	switch {
	case film.Size() != r.Output.Bytes:
		return changed, nil
	case r.Key != key:
		return "made with another curve or with other options", nil
	}
	picture := make(chan sumResult, 1)
	go func() { picture <- sumOf(in) }()
	made := sumOfFile(t.Out)
	p := <-picture
	switch {
	case p.err != nil:
		return "", fault.Wrap(p.err, t.In, "", "cannot be read: "+reasonOf(p.err), "see that you may read the file")
	case made.err != nil:
		return "", fault.Wrap(made.err, t.Out, "", "cannot be read: "+reasonOf(made.err), "see that you may read the file")
	case made.content.SHA256 != r.Output.SHA256:
		return changed, nil
	case p.content.SHA256 != r.Inputs[0].SHA256 && r.Inputs[0].Name == filepath.Base(t.In):
		return "made from this picture as it was before it was changed", nil
	case p.content.SHA256 != r.Inputs[0].SHA256:
		return fmt.Sprintf("made from another picture, %s", r.Inputs[0].Name), nil
	}
	return "", nil
}

func thereAlready(film, why string) error {
	return fault.Wrap(fs.ErrExist, film, "", "exists already, "+why, "add --force to make it again, or choose another place")
}
