package tone

// Error diffusion after R. W. Floyd and L. Steinberg, "An adaptive algorithm for
// spatial greyscale", Proc. Society for Information Display 17(2), 1976, 75-77
// (weights from memory: 7/16 ahead, 3/16 below behind, 5/16 below, 1/16 below
// ahead), rows in alternate directions. All in integers.
const (
	levelBits = 24 // fraction bits of a level
	halfLevel = 1 << (levelBits - 1)
	// scaleBits are those of the factor from sample to level: it is rounded up, so
	// that every sample that is a level comes out as just that one.
	scaleBits = 16
)

// Diffuser turns rows of 16-bit samples into 8 bits and keeps what was rounded
// away for the neighbours. Rows must come in order; the channels are
// independent. It holds 16 bytes a sample of a row.
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
		diffuse(&d.planes[ch], dst, src, 1)
	}
}

// Rows replaces the samples of the next rows by their 8-bit levels, as
// multiples of 257, on up to jobs cores.
func (d *Diffuser) Rows(rows [][]uint16, jobs int) {
	each(jobs, len(d.planes), func(ch int) {
		for _, row := range rows {
			diffuse(&d.planes[ch], row, row, 257)
		}
	})
}

// diffuse makes this channel of the next row: levels times unit.
func diffuse[T uint8 | uint16](p *plane, dst []T, src []uint16, unit T) {
	if p.width == 0 {
		return
	}
	x, step := 0, 1
	if p.row%2 == 1 && !p.oneWay {
		x, step = p.width-1, -1
	}
	if p.row == p.height-1 && !p.textbook {
		diffuseLast(p, dst, src, unit, x, step)
	} else {
		diffuseRow(p, dst, src, unit, x, step)
	}
	p.here, p.below = p.below, p.here
	p.row++
}

// diffuseRow goes from x on in steps. What is for the pixels around the current
// one stays in registers until all its shares are there.
func diffuseRow[T uint8 | uint16](p *plane, dst []T, src []uint16, unit T, x, step int) {
	scale, levels, noise := p.scale(), p.levels, p.noise()
	here, below := p.here, p.below[:len(p.here)]
	at, across := x*len(p.planes)+p.channel, step*len(p.planes)
	var ahead, behind, under int64
	x++ // the border sample
	for range p.width {
		v, rest := src[at], here[x]+ahead
		level := int64(0)
		if ends := v == 0 || v == 65535; !ends || p.textbook {
			rest += int64(uint64(v) * scale >> scaleBits)
			if level = (rest + noise.threshold(x)) >> levelBits; uint64(level) > uint64(levels) {
				level = limit(level, levels)
			}
			rest -= level << levelBits
		} else if v != 0 { // clear film and full ink pass untouched, and the error with them
			level = levels
		}
		dst[at] = T(level) * unit
		a, b, e := rest*7>>4, rest*3>>4, rest>>4
		below[x-step] = behind + b
		ahead, behind, under = a, under+rest-a-b-e, e
		at, x = at+across, x+step
	}
	below[x-step], below[x] = behind, under
	if !p.textbook {
		p.fold(x-step, ahead)
	}
}

// fold gives what would leave the picture at a side to the pixel below: dropping
// it would bias the mean (64 of 255 over 8 x 8 gives 59.8). last is the row's
// last pixel, and ahead what it had for the one after it.
func (p *plane) fold(last int, ahead int64) {
	p.below[1] += p.below[0]
	p.below[p.width] += p.below[p.width+1]
	p.below[last] += ahead
	p.below[0], p.below[p.width+1] = 0, 0
}

// diffuseLast is the row with nothing below: all goes ahead, and there is no
// noise, because nothing after it would make up for it.
func diffuseLast[T uint8 | uint16](p *plane, dst []T, src []uint16, unit T, x, step int) {
	scale, ahead := p.scale(), int64(0)
	for range p.width {
		at := x*len(p.planes) + p.channel
		v, level := src[at], int64(0)
		rest := p.here[x+1] + ahead
		switch v {
		case 0:
		case 65535:
			level = p.levels
		default:
			rest += int64(uint64(v) * scale >> scaleBits)
			level = limit((rest+halfLevel)>>levelBits, p.levels)
			rest -= level << levelBits
		}
		dst[at], ahead = T(level)*unit, rest
		x += step
	}
}

// scale turns a sample into levels, with levelBits+scaleBits fraction bits.
func (p *plane) scale() uint64 {
	return (uint64(p.levels)<<(levelBits+scaleBits) + 65534) / 65535
}

func limit(level, most int64) int64 { return min(max(level, 0), most) }

// rowNoise moves the thresholds of a row by position.
type rowNoise struct {
	seed   uint32
	wander int64
}

func (p *plane) noise() rowNoise {
	return rowNoise{uint32(p.row)*0x85ebca77 ^ uint32(p.channel+1)*0xc2b2ae3d, p.wander << 8}
}

// threshold is half a level, more or less.
func (n rowNoise) threshold(x int) int64 {
	h := uint32(x)*0x9e3779b1 ^ n.seed
	h ^= h >> 15
	h *= 0x2c1b3c6d
	return halfLevel + int64(h>>23)*n.wander - 256*n.wander
}
