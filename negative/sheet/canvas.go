package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"

	"actinic/negative/typeface"

	"github.com/jung-kurt/gofpdf"
)

const (
	pointPerMM = 72 / mmPerInch
	lineMM     = 0.15 // of marks and rulers
	keylineMM  = 0.25
)

// canvas draws pages in millimetres as seen from above, and remembers which
// picture goes where: each is a placeholder until the file is completed.
type canvas struct {
	pdf    *gofpdf.Fpdf
	setter *typeface.Setter
	film   Film
	length float64 // of the page, in millimetres
	mirror bool
	depth  int        // bits of pictures; 0 for their own
	images []imageJob // in the order of their placeholders
	shared map[sharedKey]sharedPicture
}

// sharedKey is what pictures have in common that stand in the file once.
type sharedKey struct {
	same              any
	widthMM, heightMM float64
}

// sharedPicture is a placeholder, and the form that its picture turns out to have.
type sharedPicture struct {
	number int
	form   *imageForm
}

func newCanvas(opts Options) *canvas {
	size := gofpdf.SizeType{Wd: opts.Film.WidthMM, Ht: opts.Film.HeightMM}
	pdf := gofpdf.NewCustom(&gofpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: size})
	pdf.SetCreationDate(opts.date())
	pdf.SetModificationDate(opts.date())
	pdf.SetCatalogSort(true)
	pdf.SetProducer("actinic", true)
	if opts.Title != "" {
		pdf.SetTitle(opts.Title, true)
	}
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	typeface.AddTo(pdf)
	return &canvas{pdf: pdf, setter: typeface.NewSetter(), film: opts.Film, mirror: !opts.InkUp, depth: opts.Depth, shared: map[sharedKey]sharedPicture{}}
}

// page runs draw on a new page so long, mirrored left to right where the film's ink
// side goes down.
func (c *canvas) page(lengthMM float64, draw func()) {
	c.length = lengthMM
	c.pdf.AddPageFormat("P", gofpdf.SizeType{Wd: c.film.WidthMM, Ht: lengthMM})
	c.pdf.TransformBegin()
	if c.mirror {
		c.pdf.Transform(gofpdf.TransformMatrix{A: -1, D: 1, E: c.film.WidthMM * pointPerMM})
	}
	draw()
	c.pdf.TransformEnd()
}

// within runs draw with the origin at corner.
func (c *canvas) within(corner point, draw func()) {
	c.pdf.TransformBegin()
	c.pdf.Transform(gofpdf.TransformMatrix{A: 1, D: 1, E: corner.x * pointPerMM, F: -corner.y * pointPerMM})
	draw()
	c.pdf.TransformEnd()
}

// placeholder returns that of an item's picture, which may have one already.
func (c *canvas) placeholder(it Item) sharedPicture {
	key := sharedKey{it.Same, it.WidthMM, it.HeightMM}
	if p, ok := c.shared[key]; ok && it.Same != nil {
		return p
	}
	p := sharedPicture{form: new(imageForm)}
	p.number = c.register(pictureJob(it, c.depth, p.form))
	c.shared[key] = p
	return p
}

// picture puts a placeholder at r with its rows left to right on the printed page,
// whatever is mirrored around it. A turned one gets a quarter turn, clockwise
// as seen from above.
func (c *canvas) picture(number int, r rect, turned bool) {
	c.pdf.TransformBegin()
	if turned {
		c.quarterTurn(r)
		r = rect{r.x + (r.w-r.h)/2, r.y + (r.h-r.w)/2, r.h, r.w}
	}
	if c.mirror {
		c.pdf.Transform(gofpdf.TransformMatrix{A: -1, D: 1, E: (2*r.x + r.w) * pointPerMM})
	}
	c.image(number, r)
	c.pdf.TransformEnd()
}

// quarterTurn turns what follows clockwise about the middle of r.
func (c *canvas) quarterTurn(r rect) {
	x, y := (r.x+r.w/2)*pointPerMM, (c.length-r.y-r.h/2)*pointPerMM
	c.pdf.Transform(gofpdf.TransformMatrix{B: -1, C: 1, E: x - y, F: x + y})
}

// register makes a placeholder and returns its number. Its width in pixels is its
// number, which is how it is found again.
func (c *canvas) register(job imageJob) int {
	c.images = append(c.images, job)
	n := len(c.images)
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, n, 1))); err != nil {
		panic("sheet: " + err.Error())
	}
	c.pdf.RegisterImageOptionsReader(placeholderName(n), placeholderOptions, &b)
	return n
}

var placeholderOptions = gofpdf.ImageOptions{ImageType: "png", AllowNegativePosition: true}

func placeholderName(number int) string { return fmt.Sprintf("picture %d", number) }

// image puts a placeholder at r.
func (c *canvas) image(number int, r rect) {
	c.pdf.ImageOptions(placeholderName(number), r.x, r.y, r.w, r.h, false, placeholderOptions, 0, "")
}

// align says which end of a text stands at its x.
type align int

const (
	alignLeft align = iota
	alignCentre
)

// text writes one line with its baseline at y.
func (c *canvas) text(s string, sizePt, x, y float64, a align) {
	line, draw := c.setter.Outlined(s), typeface.Draw // outlines: found by a search on mirrored pages, too
	if c.mirror {
		draw = typeface.DrawMirrored
	}
	if a == alignCentre {
		x -= line.WidthMM(sizePt) / 2
	}
	draw(c.pdf, line, sizePt, x, y)
}

// pen sets black lines of a width.
func (c *canvas) pen(widthMM float64) {
	c.pdf.SetDrawColor(0, 0, 0)
	c.pdf.SetLineWidth(widthMM)
	c.pdf.SetLineCapStyle("butt")
}

func (c *canvas) line(x1, y1, x2, y2 float64) { c.pdf.Line(x1, y1, x2, y2) }

func (c *canvas) frame(r rect) { c.pdf.Rect(r.x, r.y, r.w, r.h, "D") }

func (c *canvas) fill(r rect, device [3]float64) {
	b := [3]int{}
	for i, v := range device {
		b[i] = int(math.Round(v * 255))
	}
	c.pdf.SetFillColor(b[0], b[1], b[2])
	c.pdf.Rect(r.x, r.y, r.w, r.h, "F")
}

// circle draws four Bezier arcs, which come within 0.03 % of a circle.
func (c *canvas) circle(x, y, radius float64) {
	const arm = 0.5522847498 // 4/3 (sqrt 2 - 1)
	k := float64(arm * radius)
	c.pdf.MoveTo(x+radius, y)
	c.pdf.CurveBezierCubicTo(x+radius, y+k, x+k, y+radius, x, y+radius)
	c.pdf.CurveBezierCubicTo(x-k, y+radius, x-radius, y+k, x-radius, y)
	c.pdf.CurveBezierCubicTo(x-radius, y-k, x-k, y-radius, x, y-radius)
	c.pdf.CurveBezierCubicTo(x+k, y-radius, x+radius, y-k, x+radius, y)
	c.pdf.DrawPath("D")
}
