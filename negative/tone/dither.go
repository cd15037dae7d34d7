package tone

// Error diffusion after R. W. Floyd and L. Steinberg, "An adaptive algorithm for
// spatial greyscale", Proc. Society for Information Display 17(2), 1976, 75-77
// (weights from memory: 7/16 ahead, 3/16 below behind, 5/16 below, 1/16 below
// ahead), rows in alternate directions. All in integers.
const (
	errorBits = 16 // fraction bits of a carried error, in 16-bit codes
	ditherHi  = 65535 << errorBits
)

// Diffuser turns rows of 16-bit samples into 8 bits and keeps what was rounded
// away for the neighbours. Rows must come in order; the channels are
// independent.
type Diffuser struct {
	width, height int
	planes        []plane

	levels   int64 // steps from clear to full: 255 for 8 bits
	wander   int64 // threshold noise, in 1/256 of a level, each way
	textbook bool  // drop what leaves the sides, touch every sample
	oneWay   bool  // every row left to right
}

// plane is one channel under way.
type plane struct {
	*Diffuser
	channel     int
	row         int
	here, below []int64 // carried errors, one border sample each side
}

// NewDiffuser returns a Diffuser to 256 levels for a picture of width x height
// pixels of channels interleaved samples. A noise of half a level each way
// on the threshold, fixed by position, breaks the worms and the late start that
// error diffusion shows in flat tones (Ulichney 1988, Proc. IEEE 76(1), 56-79,
// noise on the threshold); it moves no tone, because what is rounded away is
// still carried.
func NewDiffuser(width, height, channels int) *Diffuser {
	d := &Diffuser{width: width, height: height, levels: 255, wander: 128}
	for ch := range channels {
		d.planes = append(d.planes, plane{Diffuser: d, channel: ch, here: make([]int64, width+2), below: make([]int64, width+2)})
	}
	return d
}

// Row writes the next row's levels, 0..255. src and dst hold width*channels
// interleaved samples.
func (d *Diffuser) Row(dst []uint8, src []uint16) {
	for ch := range d.planes {
		d.planes[ch].next(src, func(at int, level uint8) { dst[at] = level })
	}
}

// Rows replaces the samples of the next rows by their 8-bit levels, as
// multiples of 257, on up to jobs cores.
func (d *Diffuser) Rows(rows [][]uint16, jobs int) {
	each(jobs, len(d.planes), func(ch int) {
		for _, row := range rows {
			d.planes[ch].next(row, func(at int, level uint8) { row[at] = uint16(level) * 257 })
		}
	})
}

// next diffuses this channel of the next row and hands each level to put.
func (p *plane) next(src []uint16, put func(at int, level uint8)) {
	x, step := 0, 1
	if p.row%2 == 1 && !p.oneWay {
		x, step = p.width-1, -1
	}
	for range p.width {
		at := x*len(p.planes) + p.channel
		level, rest := p.quantise(src[at], p.here[x+1], x)
		put(at, level)
		p.spread(rest, x, step)
		x += step
	}
	p.here, p.below = p.below, p.here
	clear(p.below)
	p.row++
}

// quantise returns the level for one sample with what its neighbours carried to
// it, and what is left over. Clear film and full ink pass untouched, and so
// does the error that meets them: no specks in the borders and the paper white.
func (p *plane) quantise(v uint16, carried int64, x int) (uint8, int64) {
	if (v == 0 || v == 65535) && !p.textbook {
		return uint8(int64(v) / 65535 * p.levels), carried
	}
	want := int64(v)<<errorBits + carried
	level := (2*want*p.levels + p.threshold(x)) / (2 * ditherHi)
	level = min(max(level, 0), p.levels)
	return uint8(level), want - level*ditherHi/p.levels
}

// threshold is half a level, moved by position, in the unit of quantise. The
// last row has no noise: nothing after it would make up for it.
func (p *plane) threshold(x int) int64 {
	if p.wander == 0 || p.row == p.height-1 {
		return ditherHi
	}
	h := uint32(x)*0x9e3779b1 ^ uint32(p.row)*0x85ebca77 ^ uint32(p.channel+1)*0xc2b2ae3d
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 13
	noise := int64(h>>16&0x1ff) - 256 // -256..255
	return ditherHi + ditherHi/256*noise*p.wander/256*2
}

// spread hands rest on. What would leave the picture at the side goes to the
// pixel below, and in the last row all goes ahead: dropping it would bias the
// mean (64 of 255 over 8 x 8 gives 59.8).
func (p *plane) spread(rest int64, x, step int) {
	if rest == 0 {
		return
	}
	at, ahead, behind := x+1, x+1+step, x+1-step
	if p.row == p.height-1 && !p.textbook {
		p.here[ahead] += rest
		return
	}
	a, b, e := rest*7/16, rest*3/16, rest/16
	if !p.textbook {
		a, b, e = p.kept(a, x+step), p.kept(b, x-step), p.kept(e, x+step)
	}
	p.here[ahead] += a
	p.below[behind] += b
	p.below[ahead] += e
	p.below[at] += rest - a - b - e
}

// kept is share, or nothing when the pixel it is meant for is outside: the rest
// then falls to the pixel below.
func (p *plane) kept(share int64, x int) int64 {
	if x < 0 || x >= p.width {
		return 0
	}
	return share
}
