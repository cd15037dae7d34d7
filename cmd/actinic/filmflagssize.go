package main

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"actinic/negative/sheet"
	"actinic/negative/tone"
)

// printSizeFlag is a flag that takes the size of a print: both sides, or one
// that the other follows from by the picture's shape. A side that is not given
// is 0.
type printSizeFlag struct {
	sizeFlag
	widthPX int // of film; its millimetres depend on the resolution
}

// oneSide is a width ("203mm", "3000px") or, after an x, a height. The decimal
// sign may be a comma.
var oneSide = regexp.MustCompile(`^(x?)\s*([0-9]+(?:[.,][0-9]+)?)\s*(mm|cm|in|px)$`)

// Widths in pixels that can be meant: one strip of test patches, and the widest
// plotter (64 in) at its finest.
const leastWidthPX, mostWidthPX = 16, 1 << 17

var errPrintSize = errors.New("expected WIDTHxHEIGHT with a unit, as in 203x254mm, 20.3x25.4cm or 8x10in, or one side, as in 203mm, 3000px or x254mm, from 5 to 5080 mm a side")

func (f *printSizeFlag) Set(text string) error {
	text = strings.ToLower(strings.TrimSpace(text))
	m := oneSide.FindStringSubmatch(text)
	if m == nil {
		f.widthPX = 0
		if f.sizeFlag.Set(text) != nil {
			return errPrintSize
		}
		return nil
	}
	if m[3] == "px" {
		return f.setPixels(m)
	}
	side, _, err := sheet.ParseSize(m[2] + "x" + m[2] + m[3])
	switch {
	case err != nil:
		return errPrintSize
	case m[1] == "x":
		*f = printSizeFlag{sizeFlag: sizeFlag{heightMM: side}}
	default:
		*f = printSizeFlag{sizeFlag: sizeFlag{widthMM: side}}
	}
	return nil
}

func (f *printSizeFlag) setPixels(m []string) error {
	n, err := strconv.Atoi(m[2])
	if err != nil || m[1] != "" || n < leastWidthPX || n > mostWidthPX {
		return fmt.Errorf("expected a width in whole pixels, from %d to %d, as in 3000px", leastWidthPX, mostWidthPX)
	}
	*f = printSizeFlag{widthPX: n}
	return nil
}

func (f *printSizeFlag) String() string {
	switch {
	case f.widthPX > 0:
		return fmt.Sprintf("%dpx", f.widthPX)
	case f.widthMM == 0 && f.heightMM == 0:
		return ""
	case f.heightMM == 0:
		return fmt.Sprintf("%gmm", f.widthMM)
	case f.widthMM == 0:
		return fmt.Sprintf("x%gmm", f.heightMM)
	}
	return f.sizeFlag.String()
}

// given reports whether there is a size at all.
func (f *printSizeFlag) given() bool { return f.widthPX > 0 || f.widthMM > 0 || f.heightMM > 0 }

// inMM sets the width in millimetres of a size in pixels, at the resolution that
// t has by then.
func (f *printSizeFlag) inMM(t *tone.Options) {
	if f.widthPX > 0 {
		t.WidthMM = float64(f.widthPX) * 25.4 / t.Resolution(0)
	}
}

// rotateFlag is a flag that says by how much to turn a picture.
type rotateFlag string

const rotateAuto rotateFlag = "auto"

func (f *rotateFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{"0", "90", "180", "270", "auto"}}.set(text)
}
func (f *rotateFlag) String() string { return string(*f) }
func (f *rotateFlag) Type() string   { return "DEGREES" }

// degrees is the turn that does not depend on the size.
func (f *rotateFlag) degrees() int {
	n, _ := strconv.Atoi(string(*f)) // auto and nothing: 0
	return n
}
