package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// rgbFlag is a flag that takes a printer colour.
type rgbFlag [3]float64

var errRGB = errors.New("expected red, green and blue, each 0 to 255, as in 120,0,40")

func (f *rgbFlag) Set(text string) error {
	fields := strings.Split(text, ",")
	if len(fields) != len(f) {
		return errRGB
	}
	for i, field := range fields {
		v, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
		if err != nil || !(v >= 0 && v <= 255) {
			return errRGB
		}
		f[i] = v
	}
	return nil
}

func (f *rgbFlag) String() string { return fmt.Sprintf("%g,%g,%g", f[0], f[1], f[2]) }
func (f *rgbFlag) Type() string   { return "R,G,B" }

// inkFlag is a flag that takes a printer colour, or the inks file that holds one.
type inkFlag struct {
	rgbFlag
	file string // "" where a colour was given
}

func (f *inkFlag) Set(text string) error {
	if isInksFile(text) {
		f.file = text
		return nil
	}
	if err := f.rgbFlag.Set(text); err != nil {
		return fmt.Errorf("%w, or the name of an inks file, NAME%s", err, inksEnding)
	}
	f.file = ""
	return nil
}

func (f *inkFlag) String() string {
	if f.file != "" {
		return f.file
	}
	return f.rgbFlag.String()
}

// inksEnding is how names of inks files end.
const inksEnding = ".inks.json"

func isInksFile(name string) bool { return strings.HasSuffix(name, inksEnding) }

// blendFlag is a flag that takes the way to an ink colour.
type blendFlag string

func (f *blendFlag) Set(text string) error {
	if text != blendEven && text != blendStraight {
		return errors.New("expected even or straight")
	}
	*f = blendFlag(text)
	return nil
}

func (f *blendFlag) String() string { return string(*f) }
func (f *blendFlag) Type() string   { return "WAY" }
