package output

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"actinic/process/fault"
)

// check returns where path really leads, or why it cannot be an output.
func check(path string, o Options) (string, error) {
	if path == "" {
		return "", fault.New("", "", "the output has no name", "give a file name")
	}
	target, err := follow(path)
	if err != nil {
		return "", err
	}
	info, err := os.Stat(target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return target, checkFolder(path, filepath.Dir(target))
	case err != nil:
		return "", fault.Wrap(err, path, "", "cannot be used as an output: "+cause(err), "choose another name")
	case info.IsDir():
		return "", fault.New(path, "", "is a folder, expected a file name", "give the name of a file inside the folder")
	case !info.Mode().IsRegular():
		return "", fault.New(path, "", "is not an ordinary file", "give the name of a file on a disk")
	}
	if err := checkInputs(path, info, o); err != nil {
		return "", err
	}
	if !o.Force {
		return "", existsFault(path)
	}
	return target, nil
}

// follow returns the file that a symbolic link leads to, so that replacing it
// keeps the link.
func follow(path string) (string, error) {
	info, err := os.Lstat(path)
	if err != nil || info.Mode()&fs.ModeSymlink == 0 {
		return path, nil
	}
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return "", fault.Wrap(err, path, "", "is a symbolic link that leads nowhere", "remove the link or choose another name")
	}
	return target, nil
}

// checkFolder says what is wrong with the folder of an output to be made.
func checkFolder(path, folder string) error {
	info, err := os.Stat(folder)
	if err != nil {
		return folderFault(err, path, folder)
	}
	if !info.IsDir() {
		return fault.New(path, "", folder+" is not a folder", "choose another place")
	}
	return nil
}

func existsFault(path string) error {
	return fault.Wrap(fs.ErrExist, path, "", "exists already", "add --force to replace it, or choose another name")
}

func folderFault(err error, path, folder string) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fault.Wrap(err, path, "", "folder "+folder+" does not exist", "make the folder first, or choose another place")
	}
	return fault.Wrap(err, path, "", "cannot be written in folder "+folder+": "+cause(err), remedy(err))
}
