package main

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/tone"
)

// partFlag is a flag that takes a part of the print, or of the folder: it may
// stand several times.
type partFlag struct {
	parts []tone.Part // of the print, in the order given
	best  *bestSize   // of a part of the print that is to be found
	share batch.Share // of the pictures; zero for all
}

// bestSize is the size of a part that the program is to find itself.
type bestSize struct{ widthMM, heightMM float64 }

const (
	partOfPrintUsage = "only this `PART` of the print: X,Y,W,H in mm from its top left, or best:WxH for the piece of that size in mm that shows the most of the picture's tones"
	partUsage        = partOfPrintUsage + "; several: a piece of the film for each. Besides or instead, K/N is the K-th of N shares of a folder"
)

var errPart = errors.New("expected left, top, width and height in mm of the print, as in 10,20,100,150; or best:60x40; or a share of a folder, as in 2/5")

func (f *partFlag) Set(text string) error {
	if size, ok := strings.CutPrefix(text, "best:"); ok {
		return f.setBest(size)
	}
	if strings.Contains(text, "/") {
		return f.setShare(text)
	}
	v, ok := numbersOf(strings.Split(text, ","), 4)
	if !ok || v[2] == 0 || v[3] == 0 {
		return errPart
	}
	f.parts = append(f.parts, tone.Part{XMM: v[0], YMM: v[1], WidthMM: v[2], HeightMM: v[3]})
	return nil
}

func (f *partFlag) setBest(size string) error {
	v, ok := numbersOf(strings.Split(strings.TrimSuffix(size, "mm"), "x"), 2)
	switch {
	case !ok || v[0] == 0 || v[1] == 0:
		return errors.New("expected width and height in mm, as in best:60x40")
	case f.best != nil:
		return errors.New("one best part is enough: name the others by X,Y,W,H")
	}
	f.best = &bestSize{v[0], v[1]}
	return nil
}

func (f *partFlag) setShare(text string) error {
	share, err := batch.ParseShare(text)
	switch {
	case err != nil:
		return errors.New("expected share K of N, with K from 1 to N, as in 2/5")
	case f.share != (batch.Share{}):
		return errors.New("a folder has one share at a time")
	}
	f.share = share
	return nil
}

// numbersOf reads n lengths in millimetres.
func numbersOf(fields []string, n int) ([]float64, bool) {
	if len(fields) != n {
		return nil, false
	}
	v := make([]float64, n)
	for i, f := range fields {
		var err error
		v[i], err = strconv.ParseFloat(strings.TrimSpace(f), 64)
		if err != nil || !(v[i] >= 0 && v[i] < 1e5) {
			return nil, false
		}
	}
	return v, true
}

func (f *partFlag) String() string {
	var all []string
	for _, p := range f.parts {
		all = append(all, partText(p))
	}
	if f.best != nil {
		all = append(all, fmt.Sprintf("best:%gx%g", f.best.widthMM, f.best.heightMM))
	}
	if f.share != (batch.Share{}) {
		all = append(all, f.share.String())
	}
	return strings.Join(all, " ")
}

// partText writes a part as --part takes it.
func partText(p tone.Part) string {
	return fmt.Sprintf("%g,%g,%g,%g", p.XMM, p.YMM, p.WidthMM, p.HeightMM)
}

func (f *partFlag) Type() string { return "PART" }

// count is how many parts of the print are asked for.
func (f *partFlag) count() int {
	if f.best != nil {
		return len(f.parts) + 1
	}
	return len(f.parts)
}

// checkShare refuses a share of what is one picture.
func (f *partFlag) checkShare(args []string) error {
	if f.share == (batch.Share{}) || len(args) > 1 || isFolder(args[0]) {
		return nil
	}
	return &usageError{where: "--part", what: fmt.Sprintf("%v is a share of a folder, and %s is one picture", f.share, inputName(args[0])),
		hint: "name a folder or several pictures; a part of the print is X,Y,W,H in mm"}
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}
