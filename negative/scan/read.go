package scan

import (
	"context"
	"fmt"
	"strings"

	"actinic/negative/chart"
	"actinic/process/fault"
)

// Read reads the scans of all pages of a chart, in any order; several scans of
// one page are averaged. See Options for what a scan does not say itself; nil
// means the defaults.
//
// It fails with *fault.Error where a scan can't be read or located, shows another
// chart or the back of the page, where a page has no scan, or where the step
// tablet is not the one named. A patch that is not to be trusted is no error: its
// reading carries a flag.
func Read(ctx context.Context, scans []Input, c *chart.Chart, o *Options) (*Result, error) {
	if o == nil {
		o = &Options{}
	}
	if err := checkRequest(scans, c, o); err != nil {
		return nil, err
	}
	perPage := make([][]*pageRead, len(c.Pages))
	r := &Result{Chart: c, tablet: o.Tablet}
	for _, in := range scans {
		p, err := readScan(ctx, in, c, o)
		if err != nil {
			return nil, err
		}
		perPage[p.at.Page] = append(perPage[p.at.Page], p)
		r.scans = append(r.scans, p)
	}
	if err := checkPages(c, perPage); err != nil {
		return nil, err
	}
	for _, same := range perPage {
		r.add(combinePages(same), same)
	}
	return r, r.finish(o)
}

func checkRequest(scans []Input, c *chart.Chart, o *Options) error {
	switch {
	case len(scans) == 0:
		return fault.New("", "", "no scans were given", "give the scan of each page of the chart")
	case len(c.Pages) == 0:
		return fault.New("", "", "the chart has no pages", "")
	case o.Corners != nil && len(scans) > 1:
		return fault.New("", "", "corners were given for several scans", "read one scan at a time with --corners")
	case o.Scale != nil && o.Scale.Strip != nil && len(scans) > 1:
		return fault.New("", "", "a rectangle for the grey scale was given for several scans",
			"give the scale's places on the page in its file, or read one scan at a time")
	}
	return nil
}

// checkPages names the pages that no scan shows.
func checkPages(c *chart.Chart, perPage [][]*pageRead) error {
	var missing []string
	for i, p := range perPage {
		if len(p) == 0 {
			missing = append(missing, fmt.Sprintf("page %d (%s)", i+1, c.Pages[i].Code))
		}
	}
	if len(missing) == 0 {
		return nil
	}
	return fault.New("", "", fmt.Sprintf("no scan shows %s of the chart's %d pages", strings.Join(missing, ", "), len(c.Pages)),
		"name the scans of all pages, in any order")
}

// pageRead is what one scan says, or several of one page together.
type pageRead struct {
	name     string
	at       *Located
	size     SizeReport
	lighting Lighting
	scale    *ScaleReport
	readings []*Reading // in the order of the page's patches
	steps    []*Reading // nil without a tablet
	noStrip  string     // why there is none, where the page has a window
	box      *BoxReport
	differs  []float64 // L*, from other scans of the page
	notices  []string

	areas     []area // of readings
	stepAreas []area
	// scaleShapes are the corners of the grey scale's areas.
	scaleShapes [][4]Point
	thumb       *thumbnail
	reduced     int // scan pixels to one of the plane that was located
}

// readScan reads one scan from its file to its readings. Of its pixels only the
// thumbnail is kept.
func readScan(ctx context.Context, in Input, c *chart.Chart, o *Options) (*pageRead, error) {
	l, err := load(ctx, in, o)
	if err != nil {
		return nil, err
	}
	at, err := locate(l, c, o)
	if err != nil {
		return nil, fault.InFile(err, in.Name)
	}
	if at.Mirrored && !o.Mirrored {
		return nil, fault.New(in.Name, "", "the page is seen mirrored: film upside down, or printed on the wrong side",
			"lay the film with its ink on the paper and print again; --mirrored reads this print all the same")
	}
	p := &pageRead{name: in.Name, at: at, size: at.Size(l.plane), thumb: l.thumb, reduced: l.plane.Reduced}
	p.notices = append(append(append(p.notices, l.notices...), at.Notices...), p.size.Notices...)
	if err := p.read(l, &c.Pages[at.Page], o); err != nil {
		return nil, fault.InFile(err, in.Name)
	}
	for i, n := range p.notices {
		p.notices[i] = in.Name + ": " + n
	}
	return p, nil
}

// locate finds the page by its marks, or by the corners that the user saw.
func locate(l *loaded, c *chart.Chart, o *Options) (*Located, error) {
	if o.Corners == nil {
		return Locate(l.plane, c)
	}
	var corners [4]Point
	for i, p := range o.Corners {
		if mirroredAsStored(l.header.Orientation) {
			p.X = float64(l.header.Width) - p.X
		}
		k := float64(l.plane.Reduced)
		corners[i] = Point{p.X / k, p.Y / k}
	}
	return LocateCorners(l.plane, c, corners)
}

// read reads all that the page has.
func (p *pageRead) read(l *loaded, page *chart.Page, o *Options) error {
	r := newReader(l.plane, l.clip, plainTone())
	if o.Scale != nil {
		if err := p.calibrate(r, o.Scale.asLoaded(l)); err != nil {
			return err
		}
	}
	p.readPatches(r, page, o.Jobs)
	p.readBox(r, page)
	giveFlags(p.readings, r.tone)
	p.lighting = lightingOf(p.readings, p.box.white(), page.WidthMM, page.HeightMM)
	for _, reading := range p.readings {
		p.lighting.even(reading)
	}
	giveDoubts(p.readings)
	if err := p.readTablet(r, page, o); err != nil {
		return err
	}
	p.notices = append(p.notices, p.remarks(o)...)
	return nil
}

// asLoaded returns a scale whose rectangle lies on the picture as it was turned
// over when it was loaded.
func (s *GreyScale) asLoaded(l *loaded) *GreyScale {
	if s.Strip == nil || !mirroredAsStored(l.header.Orientation) {
		return s
	}
	turned, strip := *s, *s.Strip
	strip.X = float64(l.header.Width) - strip.X - strip.Width
	turned.Strip = &strip
	return &turned
}

// calibrate takes the tone of the scan from a grey scale in it.
func (p *pageRead) calibrate(r *reader, s *GreyScale) error {
	rs, err := r.readScale(s, p.at.Warp)
	if err != nil {
		return err
	}
	p.scaleShapes = r.scaleShapes(s, p.at.Warp)
	r.tone, p.scale, err = fitScale(s, rs)
	return err
}
