package profile

// table returns the tag that ICC.1:2010, 8.10 prefers for relative colorimetric
// rendering, which makes the medium white, and its name.
func (c *container) table() (string, []byte, error) {
	name := "A2B1"
	if !c.has(name) {
		name = "A2B0"
	}
	tag, err := c.tag(name)
	return name, tag, err
}

// tables reads a table over all channels.
func (c *container) tables(channels int) (*Luminance, error) {
	name, tag, err := c.table()
	if err != nil {
		return nil, err
	}
	t, err := readLattice(name, tag, channels)
	if err != nil {
		return nil, err
	}
	k, err := newLUT(t, c.pcs == "Lab ")
	if err != nil {
		return nil, err
	}
	if channels == 1 {
		return &Luminance{channels: 1, tables: [3][]float32{k.grey()}}, nil
	}
	return &Luminance{channels: channels, lut: k}, nil
}

func newLUT(t *lattice, lab bool) (*lut, error) {
	n := len(t.sides)
	k := &lut{scale: make([][]float32, n), step: make([]int, n), light: make([]float32, codes)}
	step := 1
	for i := n - 1; i >= 0; i-- {
		k.step[i] = step
		step *= t.sides[i]
		k.scale[i] = bake(t.in[i], float64(t.sides[i]-1))
	}
	k.terms, k.offset = t.terms(lab)
	out := t.outs[pcsChannel(lab)]
	top := func(v float64) float64 {
		if lab {
			return float64(fromLightness(float32(100 * v * t.labTop)))
		}
		return v * xyzTop
	}
	for i := range k.light {
		k.light[i] = unit(float32(top(out(float64(i) / (codes - 1)))))
	}
	if white := top(out(k.most())); white > whitest {
		return nil, unsupported("a white brighter than the medium's (luminance %.4g)", white)
	}
	return k, nil
}

// xyzTop is what a coded X, Y or Z of 1 stands for (ICC.1:2010, 6.3.4.2).
const xyzTop = 1 + 32767.0/32768

// most is the largest sum at any node.
func (k *lut) most() float64 {
	most := float32(0)
	for i := range k.terms[0].value {
		sum := k.offset
		for _, t := range k.terms {
			if v := t.value[i]; t.part != nil {
				sum += t.part[nearest(v)]
			} else {
				sum += v
			}
		}
		most = max(most, sum)
	}
	return float64(unit(most))
}

// grey tabulates the luminance of one channel.
func (k *lut) grey() []float32 {
	table := make([]float32, codes)
	for i := range table {
		table[i] = k.luminance([]uint16{uint16(i)})
	}
	return table
}
