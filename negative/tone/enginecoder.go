package tone

// ink is the way to printer codes, from the picture's samples and from light. It
// is safe for concurrent use.
type ink struct {
	pixels *Pixels // nil where the grid is not kept
	coder  *coder
}

func (k ink) samples(dst, row []uint16) { k.pixels.Row(dst, row) }

// newInk returns the way to codes; flip asks for rows end to end.
func (f *Film) newInk(flip bool) ink {
	s, k := f.stages, ink{coder: &coder{f.stages.table, f.stages.o.Positive, flip}}
	if s.grid.kept() {
		k.pixels = s.table.Pixels(f.lum, f.in.header.Channels,
			PixelOptions{InputNegative: s.o.InputNegative, Positive: s.o.Positive, Mirror: flip})
	}
	return k
}

// inkBytes is the memory of its tables: of grey pictures only.
func (f *Film) inkBytes() int64 {
	if !f.stages.grid.kept() || f.in.header.Channels > 1 {
		return 0
	}
	return 2 * 65536 * int64(f.stages.table.Channels())
}

// coder turns rows of light into printer codes, in runs that stay in the
// processor's first cache.
type coder struct {
	table    *InkTable
	positive bool
	flip     bool // rows come out end to end
}

// chunk is how many pixels are taken at a time: 2 kB as light.
const chunk = 512

// row writes the codes of a row of light.
func (c *coder) row(dst []uint16, light []float32) {
	n := c.table.Channels()
	for x := 0; x < len(light); x += chunk {
		run := light[x:min(x+chunk, len(light))]
		to := x
		if c.flip {
			to = len(light) - x - len(run)
		}
		part := dst[to*n : (to+len(run))*n]
		c.table.Encode(part, run, c.positive)
		if c.flip {
			reverse(part, n)
		}
	}
}
