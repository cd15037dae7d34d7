package main

import (
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
)

// TestDiskFull: where there is no room for a film, that film fails with the
// reason and leaves nothing; those that fit are made. A limit on the size of files
// stands for the disk (sh: ulimit -f, in blocks of 512 bytes, POSIX.1).
func TestDiskFull(t *testing.T) {
	w := newWorkroom(t)
	w.write("in/large.tif", encoded(t, grainy(600, 400, 1), asTIFF))
	w.write("in/small.tif", encoded(t, grainy(40, 30, 2), asTIFF))
	e := w.end(w.shell(`ulimit -f 256; exec "$ACTINIC" negative in --calibration c.json -o out`))
	w.want(e, exitPartial, "out/large.tif: cannot be written: file too large", "actinic: hint: ")
	w.wantOnly("out", "small.tif")
	w.want(w.run("negative", "in", "--calibration", "c.json", "-o", "out"), exitDone)
	w.wantOnly("out", "small.tif", "large.tif")
}

// TestDiskReallyFull: the same on a disk of 300 kB, where the system lets the
// test make one.
func TestDiskReallyFull(t *testing.T) {
	w := newWorkroom(t)
	const onSmallDisk = `mkdir out && mount -t tmpfs -o size=300k none out || exit 99
		"$ACTINIC" negative in --calibration c.json -o out; code=$?
		find out -type f; exit $code`
	if err := exec.Command("unshare", "-m", "sh", "-c", "mount -t tmpfs none /mnt").Run(); err != nil {
		t.Skipf("no disk can be made here (%v); TestDiskFull limits the size of files instead", err)
	}
	w.write("in/large.tif", encoded(t, grainy(600, 400, 1), asTIFF))
	w.write("in/small.tif", encoded(t, grainy(40, 30, 2), asTIFF))
	cmd := exec.Command("unshare", "-m", "sh", "-c", onSmallDisk)
	cmd.Dir, cmd.Env = w.dir, append(os.Environ(), "ACTINIC="+program(t))
	e := w.end(cmd)
	w.want(e, exitPartial, "out/large.tif: cannot be written: no space left on device", "actinic: hint: ")
	if !strings.Contains(e.out, "\nout/small.tif\n") || strings.Contains(e.out, "\nout/large.tif\n") || strings.Contains(e.out, ".tmp") {
		t.Errorf("the disk holds, at the end:\n%s", e.out)
	}
}

// TestStreamFull: a film on standard output that cannot be taken.
func TestStreamFull(t *testing.T) {
	w := newWorkroom(t)
	w.write("in.tif", encoded(t, grainy(200, 100, 1), asTIFF))
	e := w.end(w.shell(`exec "$ACTINIC" negative in.tif --calibration c.json -o - >/dev/full`))
	w.want(e, exitFailed, "no space left on device")
}

// TestReadOnlyFolder: the folder of films may not be written to. Root may write
// anywhere, so that the test is nobody where it is root.
func TestReadOnlyFolder(t *testing.T) {
	w := newWorkroom(t)
	w.write("in/a.tif", encoded(t, grainy(20, 10, 1), asTIFF))
	w.write("in/sub/b.tif", encoded(t, grainy(20, 10, 1), asTIFF))
	if err := os.Mkdir(w.path("out"), 0o555); err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{"out", "out/films", "out/a.tif"} {
		in := "in"
		if strings.HasSuffix(out, ".tif") {
			in = "in/a.tif"
		}
		cmd := w.command("negative", in, "--calibration", "c.json", "-o", out)
		w.asNobody(cmd)
		w.want(w.end(cmd), exitFailed, "permission denied", "actinic: hint: ")
		w.wantNothing("out")
	}
}

// nobody is a user who owns nothing (Debian Policy 9.2.2).
const nobody = 65534

// asNobody makes a command run by somebody who may not write everywhere.
func (w *workroom) asNobody(cmd *exec.Cmd) {
	w.Helper()
	if os.Getuid() != 0 {
		return
	}
	path := w.path("actinic")
	if _, err := os.Stat(path); err != nil {
		content, err := os.ReadFile(program(w.T))
		if err == nil {
			err = os.WriteFile(path, content, 0o755)
		}
		if err != nil {
			w.Fatal(err)
		}
	}
	cmd.Env = append(cmd.Env, "ACTINIC="+path)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
}

// wantOnly fails the test when a folder holds other files than these and their
// records.
func (w *workroom) wantOnly(folder string, names ...string) {
	w.Helper()
	files := w.tree(folder)
	for _, name := range names {
		if _, is := files[name]; !is {
			w.Errorf("%s is not in %s", name, folder)
		}
		delete(files, name)
		delete(files, recordOf(name))
	}
	for name := range files {
		w.Errorf("%s is in %s", name, folder)
	}
}
