package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"time"

	"actinic/negative/output"
	"actinic/process/document"
	"actinic/process/fault"
)

// A record says how a film in a folder of films was made. It lies in a hidden
// folder beside the film, one small file for each, so that any number of
// programs can work on one folder.
type record struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Made    time.Time `json:"made"`
	Inputs  []content `json:"inputs"` // the picture
	Key     string    `json:"key"`    // of the recipe
	Output  content   `json:"output"` // the film
	Film    FilmForm  `json:"film"`
}

// content names a file and says what is in it.
type content struct {
	Name   string `json:"name"` // base name
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

const (
	recordFolder = ".actinic"
	recordEnding = ".json"
)

var recordForm = document.Form{Format: "actinic film", Version: 1, Noun: "the record of a film", Command: "actinic negative",
	File: recordFolder + "/FILM" + recordEnding, MostMiB: 1}

// mostName is how long a file name may be on the usual disks.
const mostName = 255

// recordPath is where the record of a film lies. The names of films that leave no
// room for the ending are replaced by their sum.
func recordPath(film string) string {
	dir, base := filepath.Split(film)
	if len(base)+len(recordEnding) > mostName {
		sum := sha256.Sum256([]byte(base))
		base = hex.EncodeToString(sum[:])
	}
	return filepath.Join(dir, recordFolder, base+recordEnding)
}

// readRecord returns the record of a film. It fails with fs.ErrNotExist when
// there is none, and with *fault.Error when it cannot be read.
func readRecord(film string) (*record, error) {
	path := recordPath(film)
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var r record
	if err := recordForm.Decode(f, path, &r); err != nil {
		return nil, err
	}
	if len(r.Inputs) != 1 {
		return nil, fault.New(path, "field inputs", "expected one picture", recordForm.AsWritten())
	}
	return &r, nil
}

// recorded reports whether a file is a film that has a record: then it is no
// picture, even where films lie among pictures.
func recorded(file string) bool {
	r, err := readRecord(file)
	if err != nil {
		return false
	}
	info, err := os.Stat(file)
	return err == nil && info.Size() == r.Output.Bytes
}

// beginRecord writes the record of a film, whole and on the disk. Commit gives it
// its name.
func beginRecord(film string, r *record) (*output.File, error) {
	r.Format, r.Version = recordForm.Format, recordForm.Version
	text, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return nil, err
	}
	path := recordPath(film)
	if err := makeFolder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	f, err := output.Create(path, output.Options{Force: true})
	if err != nil {
		return nil, err
	}
	if _, err := f.Write(append(text, '\n')); err != nil {
		f.Abort()
		return nil, err
	}
	_, err = f.Seal()
	return f, err
}
