package batch

import (
	"fmt"
	"strings"

	"actinic/process/fault"
)

// Description is what a finished film says of itself, in the text that its file
// carries: plain lines of key and value. Fields that are not known are empty.
type Description struct {
	Name        string // of the picture
	Process     string
	Date        string // 2006-01-02
	Calibration string // base name
	WidthMM     float64
	HeightMM    float64
	NotMirrored bool
	Chart       bool // it is a chart's page: known from its chart file, not from this text
}

// The keys of a description.
const (
	keyName        = "name"
	keyProcess     = "process"
	keyDate        = "date"
	keyCalibration = "calibration"
	keySize        = "size_mm"
	keyMirrored    = "mirrored"
)

// String returns the lines.
func (d Description) String() string {
	mirrored := "yes"
	if d.NotMirrored {
		mirrored = "no"
	}
	var lines []string
	for _, f := range []struct{ key, value string }{
		{keyName, d.Name}, {keyProcess, d.Process}, {keyDate, d.Date}, {keyCalibration, d.Calibration},
		{keySize, fmt.Sprintf("%.1f x %.1f", d.WidthMM, d.HeightMM)}, {keyMirrored, mirrored},
	} {
		if f.value != "" {
			lines = append(lines, f.key+": "+oneLine(f.value))
		}
	}
	return strings.Join(lines, "\n")
}

// Line returns the label that is written on the film itself.
func (d Description) Line() string {
	var parts []string
	for _, p := range []string{d.Name, d.Process, d.Date, d.Calibration} {
		if p != "" {
			parts = append(parts, oneLine(p))
		}
	}
	return strings.Join(parts, "  ")
}

// oneLine keeps a value from looking like several lines.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// ParseDescription reads what String wrote and reports whether the text says
// which way round the film is: no other program's text does.
func ParseDescription(text string) (d Description, ok bool) {
	for line := range strings.Lines(text) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
		switch key {
		case keyName:
			d.Name = value
		case keyProcess:
			d.Process = value
		case keyDate:
			d.Date = value
		case keyCalibration:
			d.Calibration = value
		case keySize:
			_, _ = fmt.Sscanf(value, "%g x %g", &d.WidthMM, &d.HeightMM)
		case keyMirrored:
			d.NotMirrored, ok = value == "no", true
		}
	}
	return d, ok
}

// SameSide returns whether films lie ink side up: none of them is mirrored. It
// fails with *fault.Error when some are and some are not, because one sheet
// has one ink side.
func SameSide(all []Description) (inkUp bool, err error) {
	for _, d := range all {
		if d.NotMirrored != all[0].NotMirrored {
			return false, fault.New(d.Name, "", "it is mirrored and "+all[0].Name+" is not, or the other way round",
				"place films of one kind on a sheet")
		}
	}
	return len(all) > 0 && all[0].NotMirrored, nil
}
