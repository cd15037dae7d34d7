package batch

import (
	"context"
	"fmt"
	"math"

	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// AddBest adds the part of the print of the given size that shows the most of
// the picture's tones: see BestPart.
func (p *Pieces) AddBest(ctx context.Context, widthMM, heightMM float64) error {
	src, err := p.Open()
	if err != nil {
		return err
	}
	defer src.Close()
	part, err := BestPart(ctx, src, p.Name, p.Recipe.Tone, widthMM, heightMM, p.Recipe.Cores)
	if err != nil {
		return err
	}
	p.Parts = append(p.Parts, part)
	return nil
}

// BestPart returns the part of a print, widthMM x heightMM, over which the
// picture's tones are spread most evenly, so that it shows as many of them as a
// piece of that size can: highlights and shadows along with what lies between.
// o says how the picture becomes a print; its Part is not used. Among equals the
// first one from the top left is taken. The picture is read once, at low
// resolution.
//
// It fails with *fault.Error, under the picture's name, when the piece is larger
// than the print.
func BestPart(ctx context.Context, src raster.Source, name string, o tone.Options, widthMM, heightMM float64, cores int) (tone.Part, error) {
	lum, err := LuminanceOf(name, src.Header())
	if err != nil {
		return tone.Part{}, err
	}
	small, whole, err := smallPrint(src, lum, o, cores)
	if err != nil {
		return tone.Part{}, fault.InFile(err, name)
	}
	defer small.Close()
	if widthMM > whole.widthMM || heightMM > whole.heightMM {
		return tone.Part{}, fault.New(name, "--part", fmt.Sprintf("best:%gx%g mm is larger than the print, which is %.1f x %.1f mm",
			widthMM, heightMM, whole.widthMM, whole.heightMM), "ask for a smaller piece")
	}
	h := small.Header()
	band := raster.NewBand(h, h.Height)
	if err := readAll(ctx, small, band); err != nil {
		return tone.Part{}, fault.InFile(err, name)
	}
	px := func(mm float64) int { return int(math.Round(mm * h.PPIX / 25.4)) }
	w, ht := min(max(px(widthMM), 1), h.Width), min(max(px(heightMM), 1), h.Height)
	x, y := newToneCounts(band, h.Width).best(w, ht)
	return whole.part(float64(x)*25.4/h.PPIX, float64(y)*25.4/h.PPIX, widthMM, heightMM), nil
}

// wholePrint is the size of a print by its pixels.
type wholePrint struct{ widthMM, heightMM float64 }

// part returns a part at whole millimetres, moved inside the print.
func (w wholePrint) part(x, y, widthMM, heightMM float64) tone.Part {
	inside := func(at, room float64) float64 { return math.Max(0, math.Min(math.Round(at), math.Floor(room*10)/10)) }
	return tone.Part{XMM: inside(x, w.widthMM-widthMM), YMM: inside(y, w.heightMM-heightMM), WidthMM: widthMM, HeightMM: heightMM}
}

// smallPX is the longer side of the print on which the best part is searched: a
// piece of a tenth of it is then still some thousand pixels (a working value of
// ours).
const smallPX = 400

// smallPrint returns the tones of a print at low resolution, upright, and how
// large it is.
func smallPrint(src raster.Source, lum tone.Luminance, o tone.Options, cores int) (*tone.Film, wholePrint, error) {
	o = tone.Options{WidthMM: o.WidthMM, HeightMM: o.HeightMM, PPI: o.PPI, Fit: o.Fit, Rotate: o.Rotate, RotateToFit: o.RotateToFit,
		HeldBytes: o.HeldBytes, InputNegative: o.InputNegative, Positive: o.Positive, NoMirror: true}
	full, err := tone.Negative(src, lum, bareTone{}, o, cores)
	if err != nil {
		return nil, wholePrint{}, err
	}
	defer full.Close()
	h := full.Header()
	whole := wholePrint{float64(h.Width) * 25.4 / h.PPIX, float64(h.Height) * 25.4 / h.PPIY}
	if o.WidthMM == 0 && o.HeightMM == 0 {
		o.WidthMM, o.HeightMM = whole.widthMM, whole.heightMM
	}
	o.PPI = math.Min(h.PPIX, smallPX*25.4/math.Max(whole.widthMM, whole.heightMM))
	small, err := tone.Negative(src, lum, bareTone{}, o, cores)
	return small, whole, err
}

// bareTone is the curve that gives tones themselves: 65535 for L* 100.
type bareTone struct{}

func (bareTone) Ink(tone float64) float64      { return tone }
func (bareTone) Device(ink float64) [3]float64 { return [3]float64{ink / 100, ink / 100, ink / 100} }
func (bareTone) Neutral() bool                 { return true }

// toneBands are the bands of tone that a piece should show, 5 L* each: what the
// eye takes for one tone apart from the next in a picture (a working value of
// ours).
const toneBands = 20

// toneCounts holds, for each band, how many pixels of it lie above and to the
// left of each corner of the grid: a summed-area table (Crow, SIGGRAPH 1984).
type toneCounts struct {
	width, height int
	sums          [toneBands][]int32 // (width+1) x (height+1)
}

func newToneCounts(rows [][]uint16, width int) *toneCounts {
	c := &toneCounts{width: width, height: len(rows)}
	stride := width + 1
	for b := range c.sums {
		c.sums[b] = make([]int32, stride*(len(rows)+1))
	}
	for y, row := range rows {
		for b := range c.sums {
			line := int32(0)
			for x, v := range row {
				if int(v)*toneBands>>16 == b {
					line++
				}
				c.sums[b][(y+1)*stride+x+1] = c.sums[b][y*stride+x+1] + line
			}
		}
	}
	return c
}

// best returns where the piece of w x h pixels lies that is worth most.
func (c *toneCounts) best(w, h int) (x, y int) {
	most := -1.0
	for top := 0; top+h <= c.height; top++ {
		for left := 0; left+w <= c.width; left++ {
			if v := c.worth(left, top, w, h); v > most {
				most, x, y = v, left, top
			}
		}
	}
	return x, y
}

// worth is the sum over the bands of the square root of how much of the piece
// each has: it is largest where all are there in equal shares, and a tone that
// is missing costs more than one that is scarce.
func (c *toneCounts) worth(x, y, w, h int) float64 {
	stride := c.width + 1
	a, b, d, e := y*stride+x, y*stride+x+w, (y+h)*stride+x, (y+h)*stride+x+w
	sum := 0.0
	for i := range c.sums {
		s := c.sums[i]
		sum += math.Sqrt(float64(s[e] - s[d] - s[b] + s[a]))
	}
	return sum
}
