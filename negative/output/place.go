package output

import (
	"errors"
	"io/fs"
	"os"
)

// place gives the file temp the name target. With force it replaces a file of
// that name; without, it fails with fs.ErrExist, and no moment lies between
// looking and naming in which another program's file could be lost: a hard link
// is made by the system only if the name is free. On file systems that have no
// hard links (FAT) the name is first taken with an empty file, exclusively,
// which is then replaced.
func place(temp, target string, force bool) error {
	if force {
		return os.Rename(temp, target)
	}
	err := os.Link(temp, target)
	switch {
	case err == nil:
		os.Remove(temp) // the file has its name; a second one does no harm
		return nil
	case errors.Is(err, fs.ErrExist):
		return err
	}
	return reserve(temp, target)
}

func reserve(temp, target string) error {
	f, err := os.OpenFile(target, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	f.Close()
	if err := os.Rename(temp, target); err != nil {
		os.Remove(target)
		return err
	}
	return nil
}

// syncFolder makes the new name last through a power cut where the system can:
// Windows and some network disks cannot, and then the file itself is still
// complete, so errors are passed over.
func syncFolder(folder string) {
	if d, err := os.Open(folder); err == nil {
		d.Sync()
		d.Close()
	}
}
