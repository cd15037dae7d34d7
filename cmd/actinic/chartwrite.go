package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"actinic/negative/batch"
	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/negative/sheet"

	"github.com/spf13/cobra"
)

// charted is what the 'chart' commands print with --json.
type charted struct {
	Files    []string   `json:"files"`
	Kind     chart.Kind `json:"kind"`
	Film     string     `json:"film"`
	Pages    int        `json:"pages"`
	Patches  int        `json:"patches"`
	Codes    []string   `json:"codes"`
	Mirrored bool       `json:"mirrored"`
	Notices  []string   `json:"notices"`
}

func runChart(ctx context.Context, a *app, cmd *cobra.Command, o *chartOptions, make chartMaker) error {
	if err := o.checkFlags(cmd); err != nil {
		return err
	}
	r, err := a.chartRequest(o)
	if err != nil {
		return err
	}
	c, err := make(cmd, r)
	if err != nil {
		return asUsage(err)
	}
	r.notices = append(r.notices, c.Notices...)
	jobs, err := a.chartJobs(ctx, o.out, r, c)
	if err != nil {
		return err
	}
	if err := a.writeOutputs(o.inputs(), jobs...); err != nil {
		return err
	}
	return a.printChart(r, c, jobs)
}

// inputs are the names of all files that the command reads.
func (o *chartOptions) inputs() []string {
	var names []string
	for _, name := range []string{o.calibration, o.ink.file} {
		if name != "" {
			names = append(names, name)
		}
	}
	return names
}

// chartJobs are the files of a chart: a TIFF for each page, the PDF of them all,
// and the chart itself.
func (a *app) chartJobs(ctx context.Context, stem string, r *chartRequest, c *chart.Chart) ([]job, error) {
	var jobs []job
	var items []sheet.Item
	for i := range c.Pages {
		name := stem + ".tif"
		if len(c.Pages) > 1 {
			name = fmt.Sprintf("%s-%d.tif", stem, i+1)
		}
		jobs = append(jobs, job{name, binaryContent, func(w io.Writer) error { return a.writeChartPage(ctx, w, c, i, stem) }})
		items = append(items, sheet.Item{WidthMM: r.film.WidthMM, HeightMM: r.film.HeightMM,
			Open: func() (raster.Source, error) { return chart.Draw(c, i), nil }})
	}
	opts := sheet.Options{Film: r.film, Date: c.Made, Title: filepath.Base(stem), InkUp: !c.Mirrored, Bare: true}
	pages, err := sheet.Layout(items, opts)
	if err != nil {
		return nil, err
	}
	return append(jobs, pdfJob(ctx, stem+".pdf", pages, opts), job{stem + ".chart.json", textContent, c.Encode}), nil
}

// writeChartPage writes one page as TIFF, with the description that films carry.
func (a *app) writeChartPage(ctx context.Context, w io.Writer, c *chart.Chart, page int, stem string) error {
	to, ok := w.(io.WriteSeeker)
	if !ok {
		return errors.New("a TIFF needs a file that can be gone back in")
	}
	src := chart.Draw(c, page)
	defer src.Close()
	p, h := &c.Pages[page], src.Header()
	h.Description = batch.Description{Name: filepath.Base(stem) + " " + p.Code, Date: c.Made.Format("2006-01-02"),
		WidthMM: p.WidthMM, HeightMM: p.HeightMM, NotMirrored: !c.Mirrored}.String()
	sink, err := raster.NewTIFF(to, h, &raster.TIFFOptions{Jobs: a.global.jobs})
	if err != nil {
		return err
	}
	defer sink.Abort()
	if err := raster.Copy(ctx, sink, src); err != nil {
		return err
	}
	return sink.Commit()
}

// printChart says what was written and what to do with it.
func (a *app) printChart(r *chartRequest, c *chart.Chart, jobs []job) error {
	result := a.chartedOf(r, c, jobs)
	return a.print(result, func(w io.Writer) error { return chartedText(w, result, r.caution) })
}

// chartedOf sums up what was written; notices go out at once.
func (a *app) chartedOf(r *chartRequest, c *chart.Chart, jobs []job) charted {
	result := charted{Kind: c.Kind, Film: r.film.String(), Pages: len(c.Pages), Mirrored: c.Mirrored, Notices: append([]string{}, r.notices...)}
	for _, j := range jobs {
		result.Files = append(result.Files, j.name)
	}
	for _, p := range c.Pages {
		result.Codes = append(result.Codes, p.Code)
		result.Patches += len(p.Patches)
	}
	for _, n := range result.Notices {
		a.notice("%s", n)
	}
	return result
}

func chartedText(w io.Writer, r charted, caution string) error {
	_, err := fmt.Fprintf(w, `%s
%s chart, pages of %s: %d, patches: %d, code: %s.
Print it at 100 %%, without scaling and without colour management.
%s
%s
`, strings.Join(r.Files, ", "), r.Kind, r.Film, r.Pages, r.Patches, strings.Join(r.Codes, ", "), howToLay(r.Mirrored), caution)
	return err
}

// howToLay says which side of a film goes on the paper. A film that is not
// mirrored is for an image that is turned round once more: laid ink side up on a
// tissue or plate, its print would come out mirrored, and blurred by the film.
func howToLay(mirrored bool) string {
	if mirrored {
		return "Lay it on the paper ink side down."
	}
	return "It is not mirrored: lay it ink side down where the image is transferred or\nprinted from a plate, ink side up where it stays on its paper."
}
