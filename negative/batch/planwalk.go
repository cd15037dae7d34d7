package batch

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"actinic/process/fault"
)

// walk finds the pictures of one folder.
type walk struct {
	out      os.FileInfo   // the folder of films, nil when there is none yet
	followed []os.FileInfo // folders that links led to
	found    []Task
}

func newWalk(out string) *walk {
	w := &walk{}
	if info, err := os.Stat(out); err == nil {
		w.out = info
	}
	return w
}

// ancestors returns the folders above a folder, so that a link to one of them is
// known for a circle.
func ancestors(folder string) []os.FileInfo {
	var above []os.FileInfo
	at, err := filepath.EvalSymlinks(folder)
	if err != nil {
		return nil
	}
	if at, err = filepath.Abs(at); err != nil {
		return nil
	}
	for at != filepath.Dir(at) {
		at = filepath.Dir(at)
		if info, err := os.Stat(at); err == nil {
			above = append(above, info)
		}
	}
	return above
}

// folder adds the pictures of a folder; rel is its path below the first, and
// chain the folders from there to it, itself included.
func (w *walk) folder(name, rel string, chain []os.FileInfo) error {
	entries, err := os.ReadDir(name)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		w.entry(filepath.Join(name, e.Name()), path.Join(rel, e.Name()), e, chain)
	}
	return nil
}

func (w *walk) entry(name, rel string, e fs.DirEntry, chain []os.FileInfo) {
	linked := e.Type()&fs.ModeSymlink != 0
	if e.Type().IsRegular() {
		w.file(name, rel)
		return
	}
	if !linked && !e.IsDir() {
		w.refuseFile(name, rel, "is not an ordinary file, expected a picture", "remove it from the folder")
		return
	}
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist) && linked:
		w.refuseFile(name, rel, "is a link that leads nowhere", "remove the link, or bring back what it leads to")
	case err != nil && linked: // a circle of links, perhaps
		w.refuseFile(name, rel, "is a link that cannot be followed: "+reasonOf(err), "remove the link")
	case err != nil:
		w.refuse(name, rel, "cannot be read: "+reasonOf(err), "see that you may read it")
	case info.IsDir():
		w.inner(name, rel, info, linked, chain)
	case info.Mode().IsRegular():
		w.file(name, rel)
	default:
		w.refuseFile(name, rel, "is not an ordinary file, expected a picture", "remove it from the folder")
	}
}

// inner adds the pictures of a folder in a folder. Each folder is reached by one
// link at most: a few links that cross could make any number of paths.
func (w *walk) inner(name, rel string, info os.FileInfo, linked bool, chain []os.FileInfo) {
	if w.out != nil && os.SameFile(info, w.out) {
		return
	}
	if among(chain, info) {
		w.refuse(name, rel, "leads back to a folder that it lies in", "remove the link: its pictures are found without it")
		return
	}
	if linked {
		if among(w.followed, info) {
			w.refuse(name, rel, "leads to a folder that another link leads to", "remove one of the links")
			return
		}
		w.followed = append(w.followed, info)
	}
	if err := w.folder(name, rel, append(slices.Clip(chain), info)); err != nil {
		w.refuse(name, rel, "the folder cannot be read: "+reasonOf(err), "see that you may read it")
	}
}

func among(folders []os.FileInfo, one os.FileInfo) bool {
	return slices.ContainsFunc(folders, func(f os.FileInfo) bool { return os.SameFile(f, one) })
}

// file adds a file if it is a picture.
func (w *walk) file(name, rel string) {
	kind, picture := kindOf(name)
	switch {
	case !picture || recorded(name):
	case kind == "":
		w.found = append(w.found, Task{In: name, Rel: rel})
	default:
		t := Task{In: name, Rel: rel, Refused: unread(name, kind)}
		w.found = append(w.found, t)
	}
}

// refuseFile refuses what has the name of a picture; other files are nobody's
// business here.
func (w *walk) refuseFile(name, rel, what, hint string) {
	if _, picture := kindOf(name); picture || filepath.Ext(name) == "" {
		w.refuse(name, rel, what, hint)
	}
}

func (w *walk) refuse(name, rel, what, hint string) {
	w.found = append(w.found, Task{In: name, Rel: rel, Refused: fault.New(name, "", what, hint)})
}

// reasonOf is the system's reason without path and operation.
func reasonOf(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
