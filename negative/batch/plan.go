package batch

import (
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"actinic/process/fault"
)

// PlanOptions says what Plan makes of a folder.
type PlanOptions struct {
	Format string // of films in a folder: TIFF, also when "", or PNG
}

// Plan returns a task for each picture that inputs name, files or folders, in
// the order given; those of a folder, with the folders in it, in the order of
// their paths byte by byte. Films keep that structure below out, which is a
// folder; only where there is one picture and no folder was named it may be a
// file.
//
// Hidden files and folders are left alone, and so are the folder out itself and
// films that have a record beside them. Links are followed, and a link that
// leads in a circle is a task that is refused. So is a picture of a kind that
// nobody reads here. Other files are no pictures. A picture that is named twice,
// by itself and with its folder, say, is one task.
//
// It fails with *fault.Error when an input does not exist, a folder holds no
// picture, two pictures would become one file, or out has the name of one film
// and is to be a folder.
func Plan(inputs []string, out string, o PlanOptions) ([]Task, error) {
	tasks, folders, err := expand(inputs, out)
	if err != nil {
		return nil, err
	}
	if !folders && len(tasks) == 1 && !isFolder(out) {
		tasks[0].Out = out
		return tasks, checkName(out)
	}
	if FormatOf(out) != "" && !isFolder(out) {
		return nil, fault.New(out, "", "is the name of one film, expected a folder for those of several pictures",
			"choose another name, or end it in / if the folder is to be called so")
	}
	for i := range tasks {
		t := &tasks[i]
		t.Record = true
		film := strings.TrimSuffix(t.Rel, path.Ext(t.Rel)) + endingOf(o.Format)
		t.Out = filepath.Join(out, filepath.FromSlash(film))
	}
	tasks = withoutRepeats(tasks)
	return tasks, checkCollisions(tasks)
}

// withoutRepeats leaves out the tasks of pictures that were named before, and
// would become the same film.
func withoutRepeats(tasks []Task) []Task {
	first := make(map[string]string, len(tasks)) // pictures by their films
	return slices.DeleteFunc(tasks, func(t Task) bool {
		key := t.Rel + "\x00" + t.Out
		in, named := first[key]
		if !named {
			first[key] = t.In
		}
		return named && samePlace(in, t.In)
	})
}

// samePlace reports whether two names lead to one file in one folder: a picture
// and a hard link to it in another folder are two.
func samePlace(a, b string) bool {
	if filepath.Base(a) != filepath.Base(b) {
		return false
	}
	dirA, errA := os.Stat(filepath.Dir(a))
	dirB, errB := os.Stat(filepath.Dir(b))
	return errA == nil && errB == nil && os.SameFile(dirA, dirB)
}

// isFolder reports whether out is a folder, or is written as one.
func isFolder(out string) bool {
	if strings.HasSuffix(out, "/") || strings.HasSuffix(out, string(filepath.Separator)) {
		return true
	}
	info, err := os.Stat(out)
	return err == nil && info.IsDir()
}

// expand lists the pictures that inputs name, still without films, and whether
// a folder is among them.
func expand(inputs []string, out string) (tasks []Task, folders bool, err error) {
	for _, in := range inputs {
		info, err := os.Stat(in)
		if err != nil {
			return nil, false, err
		}
		if !info.IsDir() {
			tasks = append(tasks, Task{In: in, Rel: filepath.Base(in)})
			continue
		}
		folders = true
		found, err := picturesIn(in, info, out)
		if err != nil {
			return nil, false, err
		}
		tasks = append(tasks, found...)
	}
	return tasks, folders, nil
}

// picturesIn lists the pictures of a folder and of those in it.
func picturesIn(folder string, info os.FileInfo, out string) ([]Task, error) {
	w := newWalk(out)
	if err := w.folder(folder, "", append(ancestors(folder), info)); err != nil {
		return nil, fault.Wrap(err, folder, "", "the folder cannot be read: "+reasonOf(err), "see that you may read it")
	}
	if len(w.found) == 0 {
		return nil, fault.New(folder, "", "holds no picture, expected TIFF, PNG or JPEG files", "name another folder, or the files themselves")
	}
	slices.SortFunc(w.found, func(a, b Task) int { return strings.Compare(a.Rel, b.Rel) })
	return w.found, nil
}
