package batch

import (
	"context"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/process/fault"
)

// job is the making of one film.
type job struct {
	recipe *Recipe
	key    string // of the recipe; for a record only
	task   Task
	survey survey // the zero value when there was none
	o      *RunOptions
	// toDisk is called when only the disk is waited for, and what it returns when
	// that is over; may be nil.
	toDisk func() (done func())
}

// do makes the film, or finds that it is there.
func (j *job) do(ctx context.Context) (Film, error) {
	in, err := openPicture(j.task.In, j.survey.info)
	if err != nil {
		return Film{}, err
	}
	defer in.close()
	if j.task.Record && !j.o.Output.Force {
		if film, err := finished(j.task, j.key, in.reader()); film != nil || err != nil {
			return orNone(film), in.blame(j.protect(err))
		}
	}
	film, err := j.make(ctx, in)
	return film, in.blame(err)
}

// protect says of a film in place that it is a picture of this run, where that is
// so: --force does not help then.
func (j *job) protect(err error) error {
	if !errors.Is(err, fs.ErrExist) {
		return err
	}
	f, e := output.Create(j.task.Out, j.o.Output)
	if e == nil { // it was removed meanwhile
		f.Abort()
		return err
	}
	if errors.Is(e, fs.ErrExist) {
		return err
	}
	return e
}

func orNone(f *Film) Film {
	if f == nil {
		return Film{}
	}
	return *f
}

// make writes the film beside its place, and gives it its name when the picture
// is known to be the one that was read.
func (j *job) make(ctx context.Context, in *picture) (Film, error) {
	if j.task.Record {
		if err := makeFolder(filepath.Dir(j.task.Out)); err != nil {
			return Film{}, err
		}
	}
	f, err := output.Create(j.task.Out, j.o.Output)
	if err != nil {
		return Film{}, err
	}
	defer f.Abort()
	film, err := j.write(ctx, f)
	if err != nil {
		return Film{}, err
	}
	if j.toDisk != nil {
		defer j.toDisk()()
	}
	film.Output = j.task.Out
	if !j.task.Record {
		if err := in.unchanged(); err != nil {
			return Film{}, err
		}
		return film, f.Commit()
	}
	return j.place(ctx, f, in, film)
}

// freeAtOnce is the size of a held picture from which its memory is freed when
// it is done, and not when garbage is next collected: so it does not stand beside
// the next picture's (a working value of ours).
const freeAtOnce = 8 << 20

// write makes the rows of the film.
func (j *job) write(ctx context.Context, f *output.File) (Film, error) {
	src, err := raster.Open(j.task.In)
	if err != nil {
		return Film{}, err
	}
	held := src.Header().HeldBytes
	film, err := j.recipe.Write(ctx, f, FormatOf(j.task.Out), src, j.task.In)
	src.Close()
	if held >= freeAtOnce {
		src = nil
		runtime.GC()
	}
	return film, err
}

// place records the film and gives it its name, when picture and film are known
// by their sums.
func (j *job) place(ctx context.Context, f *output.File, in *picture, film Film) (Film, error) {
	sums := make(chan sumResult, 1)
	go func() { sums <- sumOf(in.reader()) }()
	sealed, err := f.Seal()
	picture := <-sums
	if err != nil {
		return Film{}, err
	}
	if err := errors.Join(picture.err, ctx.Err()); err != nil {
		return Film{}, err
	}
	if err := in.unchanged(); err != nil {
		return Film{}, err
	}
	picture.content.Name = filepath.Base(in.name)
	r, err := beginRecord(j.task.Out, &record{Made: j.o.Made, Key: j.key, Film: film.FilmForm, Inputs: []content{picture.content},
		Output: content{Name: filepath.Base(j.task.Out), Bytes: sealed.Bytes, SHA256: hex.EncodeToString(sealed.SHA256[:])}})
	if err != nil {
		return Film{}, err
	}
	defer r.Abort()
	if err := j.name(f, r); err != nil {
		return j.met(in, err)
	}
	return film, nil
}

// name gives record and film their names. The record comes first: a run that is
// killed between the two leaves a record of a film that is not there, which is
// nothing, and never a film that nobody knows. The folder is held, so that no
// other run at the same work puts its record beside this film.
func (j *job) name(film, record *output.File) error {
	defer output.Hold(filepath.Dir(record.Name()))()
	if _, err := os.Lstat(j.task.Out); err == nil && !j.o.Output.Force {
		return fs.ErrExist
	}
	if err := record.Commit(); err != nil {
		return err
	}
	if err := film.Commit(); err != nil {
		if _, e := os.Lstat(j.task.Out); errors.Is(e, fs.ErrNotExist) {
			os.Remove(record.Name())
		}
		return err
	}
	return nil
}

// met looks at what another run put in the film's place while this one made it:
// the film of the same work is as good.
func (j *job) met(in *picture, err error) (Film, error) {
	if !errors.Is(err, fs.ErrExist) {
		return Film{}, err
	}
	film, e := finished(j.task, j.key, in.reader())
	if film == nil && e == nil {
		e = thereAlready(j.task.Out, "since a moment ago")
	}
	return orNone(film), e
}

// makeFolder makes a folder and those above it.
func makeFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fault.Wrap(err, dir, "", "the folder cannot be made: "+reasonOf(err), "choose another place with -o")
	}
	return nil
}
