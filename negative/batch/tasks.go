package batch

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"actinic/process/fault"
)

// Task is one picture and the file that its film goes to.
type Task struct{ In, Out string }

// pictureEndings are the names that count as pictures in a folder.
var pictureEndings = []string{".tif", ".tiff", ".png", ".jpg", ".jpeg"}

// Plan returns a task for each picture that inputs name, files or folders, in
// the order given and by name within a folder. out is a file when there is one
// picture and no folder was named; else it is a folder. Folders within folders
// and hidden files are left alone.
//
// It fails with *fault.Error when an input does not exist, a folder holds no
// picture, or two pictures would become one file.
func Plan(inputs []string, out string) ([]Task, error) {
	pictures, folders, err := expand(inputs)
	if err != nil {
		return nil, err
	}
	if !folders && len(pictures) == 1 && !isFolder(out) {
		return []Task{{pictures[0], out}}, checkName(out)
	}
	tasks := make([]Task, len(pictures))
	for i, p := range pictures {
		base := filepath.Base(p)
		tasks[i] = Task{p, filepath.Join(out, strings.TrimSuffix(base, filepath.Ext(base))+".tif")}
	}
	return tasks, checkCollisions(tasks)
}

// isFolder reports whether out is a folder, or is written as one.
func isFolder(out string) bool {
	if strings.HasSuffix(out, "/") || strings.HasSuffix(out, string(filepath.Separator)) {
		return true
	}
	info, err := os.Stat(out)
	return err == nil && info.IsDir()
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

func checkName(out string) error {
	if FormatOf(out) != "" {
		return nil
	}
	return fault.New(out, "", "expected a name that ends in .tif or .png", "end the name of a folder in /")
}

// expand lists the pictures that inputs name, and whether a folder is among
// them.
func expand(inputs []string) (pictures []string, folders bool, err error) {
	for _, in := range inputs {
		info, err := os.Stat(in)
		if err != nil {
			return nil, false, err
		}
		if !info.IsDir() {
			pictures = append(pictures, in)
			continue
		}
		folders = true
		found, err := picturesIn(in)
		if err != nil {
			return nil, false, err
		}
		pictures = append(pictures, found...)
	}
	return pictures, folders, nil
}

func picturesIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder) // sorted by name
	if err != nil {
		return nil, err
	}
	var found []string
	for _, e := range entries {
		if isPicture(e) {
			found = append(found, filepath.Join(folder, e.Name()))
		}
	}
	if len(found) == 0 {
		return nil, fault.New(folder, "", "holds no picture, expected TIFF, PNG or JPEG files", "name another folder, or the files themselves")
	}
	return found, nil
}

func isPicture(e fs.DirEntry) bool {
	return !e.IsDir() && !strings.HasPrefix(e.Name(), ".") &&
		slices.Contains(pictureEndings, strings.ToLower(filepath.Ext(e.Name())))
}

// checkCollisions refuses two tasks with one output. Names that differ in
// capitals only are one file on many disks.
func checkCollisions(tasks []Task) error {
	first := map[string]string{}
	for _, t := range tasks {
		key := strings.ToLower(filepath.Clean(t.Out))
		if other, taken := first[key]; taken {
			return fault.New(t.In, "", fmt.Sprintf("its film would be %s, and so would that of %s", t.Out, other),
				"rename one of them, or make them one at a time")
		}
		first[key] = t.In
	}
	return nil
}
