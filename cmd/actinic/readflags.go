package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/scan"
	"actinic/process/tablet"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// readOptions are the flags of 'read'.
type readOptions struct {
	chart     string
	out       string
	tabletOut string
	steps     string
	channel   channelFlag
	linear    bool
	scale     string
	scaleAt   numbersFlag
	corners   numbersFlag
	mirrored  bool
	show      string
}

func (o *readOptions) add(flags *pflag.FlagSet) {
	o.scaleAt, o.corners = numbersFlag{form: "X,Y,WIDTH,HEIGHT", count: 4}, numbersFlag{form: "X,Y,X,Y,X,Y,X,Y", count: 8}
	flags.StringVar(&o.chart, "chart", "", "the chart that was printed, file `CHART`: NAME.chart.json")
	flags.StringVarP(&o.out, "output", "o", "", "write the readings to `R.csv`; - is standard output")
	flags.StringVar(&o.steps, "steps", "", "the step tablet in the window: `STEPS` as 21x0.15+0.05, count x increment + first, or its CSV file")
	flags.StringVar(&o.tabletOut, "tablet-out", "", "write the step tablet to `T.csv` (default R.tablet.csv)")
	flags.StringVar(&o.show, "show", "", "draw what was found where into `FILE.png`")
	flags.BoolVar(&o.linear, "linear", false, "the scan's values are light itself, not sRGB")
	flags.StringVar(&o.scale, "scale", "", "take tones from a grey scale of known densities in the scan, `FILE`")
	flags.Var(&o.scaleAt, "scale-at", "the grey scale lies there, in scan pixels: `X,Y,WIDTH,HEIGHT`")
	flags.Var(&o.channel, "channel", "read one `CHANNEL` alone: red, green or blue")
	flags.Var(&o.corners, "corners", "centres of the four corner marks in scan pixels, from the page's top left clockwise: `X,Y,X,Y,X,Y,X,Y`")
	flags.BoolVar(&o.mirrored, "mirrored", false, "the page is seen mirrored on this print; read it all the same")
}

func (o *readOptions) check(cmd *cobra.Command, args []string) error {
	switch {
	case o.chart == "":
		return missingFlag(cmd, "chart")
	case o.out == "":
		return missingFlag(cmd, "output")
	case o.show != "" && batch.FormatOf(o.show) != batch.PNG:
		return &usageError{where: "--show", what: fmt.Sprintf("%q does not end in .png", o.show), hint: "the picture is a PNG file: name it FILE.png"}
	case o.scaleAt.values != nil && o.scale == "":
		return &usageError{where: "--scale-at", what: "it has no meaning without --scale", hint: "name the file of the scale's densities with --scale"}
	case repeatedFile(args) != "":
		return &usageError{where: "SCAN", what: repeatedFile(args) + " is named twice", hint: "name each scan once; for an average, scan the print again, turned by 180 degrees"}
	case o.corners.values != nil && len(args) > 1:
		return &usageError{where: "--corners", what: "given for several scans", hint: "read one scan at a time with --corners"}
	case slices.Contains(args, standardStream) && (len(args) > 1 || o.chart == standardStream):
		return &usageError{where: place(cmd), what: "standard input holds one file", hint: "name files for the others"}
	}
	return nil
}

// repeatedFile returns the first name of a file that an earlier name means too; ""
// if there is none. A scan averaged with itself would count twice against others.
func repeatedFile(names []string) string {
	var seen []os.FileInfo
	for _, name := range names {
		about, err := os.Stat(name)
		if err != nil {
			continue // who reads it says why
		}
		if slices.ContainsFunc(seen, func(s os.FileInfo) bool { return os.SameFile(s, about) }) {
			return name
		}
		seen = append(seen, about)
	}
	return ""
}

// scanOptions turns flags into what package scan is told.
func (a *app) scanOptions(o *readOptions) (*scan.Options, error) {
	opts := &scan.Options{Linear: o.linear, Channel: scan.Channel(o.channel), Mirrored: o.mirrored, Jobs: a.global.jobs}
	opts.Corners = o.corners.points()
	var err error
	if opts.Tablet, err = namedTablet(o.steps); err != nil {
		return nil, err
	}
	opts.Scale, err = a.greyScale(o)
	return opts, err
}

// namedTablet returns the tablet that --steps names, by notation or by file; nil
// when it names none.
func namedTablet(text string) (*tablet.Tablet, error) {
	if text == "" {
		return nil, nil
	}
	if strings.EqualFold(filepath.Ext(text), ".csv") {
		t, err := tablet.ReadFile(text)
		return &t, err
	}
	t, err := tablet.Parse(text)
	if err != nil {
		return nil, &usageError{where: "--steps", what: err.Error(), hint: tablet.Hint + "; or name a CSV file with step and tablet_density"}
	}
	return &t, nil
}

// greyScale reads the file of --scale.
func (a *app) greyScale(o *readOptions) (*scan.GreyScale, error) {
	if o.scale == "" {
		return nil, nil
	}
	in, err := a.openInput(o.scale)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	s, err := scan.ReadScale(in, inputName(o.scale))
	if err != nil {
		return nil, err
	}
	if v := o.scaleAt.values; v != nil {
		s.Strip = &scan.ScanRect{X: v[0], Y: v[1], Width: v[2], Height: v[3]}
		return s, nil
	}
	if !s.Placed() {
		return nil, &usageError{where: "--scale", what: "the file does not say where the patches lie",
			hint: "give the rectangle around them with --scale-at, or the columns x_mm, y_mm, width_mm, height_mm"}
	}
	return s, nil
}

// channelFlag is a flag that takes one channel of a colour scan.
type channelFlag scan.Channel

func (f *channelFlag) Set(text string) error {
	c, err := scan.ParseChannel(text)
	*f = channelFlag(c)
	return err
}

func (f *channelFlag) String() string {
	if *f == channelFlag(scan.All) {
		return ""
	}
	return scan.Channel(*f).String()
}

func (f *channelFlag) Type() string { return "CHANNEL" }

// numbersFlag is a flag that takes a fixed count of numbers with commas between.
type numbersFlag struct {
	form   string
	count  int
	values []float64
}

func (f *numbersFlag) Set(text string) error {
	parts := strings.Split(text, ",")
	if len(parts) != f.count {
		return fmt.Errorf("%d numbers, expected %d with commas between", len(parts), f.count)
	}
	f.values = nil
	for _, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(v > -1e7 && v < 1e7) {
			return errors.New("expected numbers of pixels with commas between")
		}
		f.values = append(f.values, v)
	}
	return nil
}

func (f *numbersFlag) String() string {
	if f.values == nil {
		return ""
	}
	return strings.Trim(strings.ReplaceAll(fmt.Sprint(f.values), " ", ","), "[]")
}

func (f *numbersFlag) Type() string { return f.form }

// points are four points of a scan; nil where the flag was not given.
func (f *numbersFlag) points() *[4]scan.Point {
	v := f.values
	if v == nil {
		return nil
	}
	return &[4]scan.Point{{X: v[0], Y: v[1]}, {X: v[2], Y: v[3]}, {X: v[4], Y: v[5]}, {X: v[6], Y: v[7]}}
}
