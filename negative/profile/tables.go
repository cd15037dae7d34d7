package profile

import (
	"bytes"
	"encoding/binary"
	"math"

	"github.com/kovidgoyal/imaging/prism/meta/icc"
)

// tables bakes a multi-dimensional A2B tag. The tag is evaluated by the icc
// package, node by node; only what is safe to hand it gets there.
func (c *container) tables(channels int) (*Luminance, error) {
	name := "A2B1"
	if !c.has(name) {
		name = "A2B0"
	}
	tag, err := c.tag(name)
	if err != nil {
		return nil, err
	}
	if err := checkTable(name, tag, channels); err != nil {
		return nil, err
	}
	pipe, err := c.pipeline(name, tag, channels)
	if err != nil {
		return nil, err
	}
	return c.bakeTable(name, pipe, channels)
}

// checkTable refuses what would make the evaluation read or allocate beyond
// reason. ICC.1:2010, 10.8 to 10.10.
func checkTable(name string, tag []byte, channels int) error {
	if len(tag) < 32 {
		return broken("tag "+name, "has %d bytes, expected at least 32", len(tag))
	}
	switch kind(tag) {
	case "mft1", "mft2", "mAB ":
	default:
		return unsupported("a table of type %q (tag %s)", kind(tag), name)
	}
	if in, out := int(tag[8]), int(tag[9]); in != channels || out != 3 {
		return broken("tag "+name, "goes from %d to %d channels, expected %d to 3", in, out, channels)
	}
	if kind(tag) != "mAB " {
		return nil
	}
	if at := int64(binary.BigEndian.Uint32(tag[24:])); at > 0 {
		if at+20 > int64(len(tag)) {
			return broken("tag "+name, "has its grid at %d, beyond its %d bytes", at, len(tag))
		}
		if bytes := tag[at+16]; bytes != 1 && bytes != 2 {
			return broken("tag "+name, "has grid values of %d bytes, expected 1 or 2", bytes)
		}
	}
	return nil
}

// transform is what the icc package makes of a tag.
type transform interface{ TransformGeneral(out, in []float64) }

// pipeline hands the icc package a profile of only the one tag.
func (c *container) pipeline(name string, tag []byte, channels int) (pipe transform, err error) {
	defer func() {
		if p := recover(); p != nil {
			pipe, err = nil, broken("tag "+name, "does not hold together: %v", p)
		}
	}()
	lone := appendProfile(nil, c.data[:headerSize], []tagData{{name, tag}})
	p, err := icc.NewProfileReader(bytes.NewReader(lone)).ReadProfile()
	if err != nil {
		return nil, broken("tag "+name, "%v", err)
	}
	t, err := p.CreateTransformerToPCS(icc.RelativeColorimetricRenderingIntent, channels, false)
	if err != nil {
		return nil, broken("tag "+name, "%v", err)
	}
	return t, nil
}

func (c *container) bakeTable(name string, pipe transform, channels int) (l *Luminance, err error) {
	defer func() {
		if p := recover(); p != nil {
			l, err = nil, broken("tag "+name, "does not hold together: %v", p)
		}
	}()
	most, sound := 0.0, true
	lightness := func(r, g, b float64) float64 {
		in, out := [4]float64{r, g, b}, [4]float64{}
		pipe.TransformGeneral(out[:], in[:])
		v := out[0]
		if c.pcs == "XYZ " {
			v = toLightness(out[1])
		}
		most, sound = max(most, v), sound && !math.IsNaN(v) && !math.IsInf(v, 0)
		return v
	}
	l = &Luminance{channels: channels}
	if channels == 1 {
		l.tables[0] = bake(func(v float64) float64 { return float64(fromLightness(float32(lightness(v, 0, 0)))) }, 1)
	} else {
		l.grid = newGrid(lightness)
	}
	if !sound {
		return nil, broken("tag "+name, "gives values that are no numbers")
	}
	if most > toLightness(whitest) {
		return nil, unsupported("a white brighter than the medium's (L* %.4g)", most)
	}
	return l, nil
}
