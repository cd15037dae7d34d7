package profile

import "math"

// FromICC returns the luminance of a picture with channels samples a pixel (1
// grey, 3 RGB, 4 CMYK with 65535 full ink) and the embedded profile data.
//
// It uses the tags that ICC.1:2010, 8.10 prefers for relative colorimetric
// rendering: A2B1, else A2B0, else the tone curves. It fails with
// *raster.UnsupportedError for a class or colour space that is not for pictures
// of this kind, and with *raster.FormatError, naming the tag, if the profile is
// broken or belongs to another number of channels.
func FromICC(data []byte, channels int) (*Luminance, error) {
	c, err := open(data)
	if err != nil {
		return nil, err
	}
	if err := c.check(channels); err != nil {
		return nil, err
	}
	switch {
	case channels == 4 || c.has("A2B1") || c.has("A2B0"):
		return c.tables(channels)
	case channels == 1:
		return c.grey()
	}
	return c.matrix()
}

// CheckLab reports whether the profile embedded in an L*a*b* picture is for such
// pictures. Nothing of it is needed: L* is relative to the medium's white, and so is
// luminance. It fails as FromICC does.
func CheckLab(data []byte) error {
	c, err := open(data)
	if err != nil {
		return err
	}
	if c.space != "Lab " {
		return unsupported("the colour space %q of the profile of an L*a*b* picture", c.space)
	}
	return nil
}

// classes are the profile classes of ICC.1:2010, 7.2.5 that can't describe the
// values of a picture.
var classes = map[string]string{
	"link": "a device link", "abst": "an abstract profile", "nmcl": "named colours",
}

func (c *container) check(channels int) error {
	switch c.class {
	case "scnr", "mntr", "prtr", "spac":
	default:
		if name := classes[c.class]; name != "" {
			return unsupported("%s (class %q)", name, c.class)
		}
		return unsupported("the class %q", c.class)
	}
	want := map[string]int{"GRAY": 1, "RGB ": 3, "CMYK": 4}[c.space]
	if want == 0 {
		return unsupported("the colour space %q", c.space)
	}
	if want != channels {
		return broken("header", "is for the colour space %q, but the picture has %d channels, expected %d", c.space, channels, want)
	}
	if c.pcs != "XYZ " && c.pcs != "Lab " {
		return broken("header", "has the connection space %q, expected \"XYZ \" or \"Lab \"", c.pcs)
	}
	return nil
}

// grey reads kTRC: Y with the connection space XYZ, L*/100 with Lab.
// ICC.1:2010, 8.3.4 and F.2.
func (c *container) grey() (*Luminance, error) {
	trc, err := c.curve("kTRC")
	if err != nil {
		return nil, err
	}
	if c.pcs == "Lab " {
		coded := trc
		trc = func(v float64) float64 { return float64(fromLightness(float32(100 * coded(v)))) }
	}
	return newGrey(trc), nil
}

// whitest is how far the channels may add beyond the medium's white: rounding in
// real profiles stays below 0.001.
const whitest = 1.005

// matrix reads rXYZ .. bTRC. Y of the connection space needs only the second
// row of the matrix. ICC.1:2010, 8.3.3 and F.3.
func (c *container) matrix() (*Luminance, error) {
	if c.pcs != "XYZ " {
		return nil, broken("header", "has no tables and the connection space %q, expected \"XYZ \"", c.pcs)
	}
	l := &Luminance{channels: 3}
	white := 0.0
	tables := map[string][]float64{} // by tag: most profiles have one curve for all
	for i, letter := range []string{"r", "g", "b"} {
		y, err := c.colorantY(letter + "XYZ")
		if err != nil {
			return nil, err
		}
		table, err := c.curveTable(letter+"TRC", tables)
		if err != nil {
			return nil, err
		}
		white += y
		l.tables[i] = weighted(table, y)
	}
	if white <= 0 {
		return nil, broken("tags rXYZ, gXYZ, bXYZ", "give white the luminance %.4g, expected 1", white)
	}
	if white > whitest {
		return nil, unsupported("a white brighter than the medium's (luminance %.4g)", white)
	}
	return l, nil
}

// curveTable tabulates a curve, or returns the table of one that has the same
// bytes.
func (c *container) curveTable(name string, tables map[string][]float64) ([]float64, error) {
	trc, err := c.curve(name)
	if err != nil {
		return nil, err
	}
	tag, err := c.tag(name)
	if err != nil {
		return nil, err
	}
	if tables[string(tag)] == nil {
		tables[string(tag)] = tabulate(trc)
	}
	return tables[string(tag)], nil
}

func (c *container) colorantY(name string) (float64, error) {
	tag, err := c.tag(name)
	if err != nil {
		return 0, err
	}
	if kind(tag) != "XYZ " || len(tag) < 20 {
		return 0, broken("tag "+name, "is of type %q with %d bytes, expected \"XYZ \" with 20", kind(tag), len(tag))
	}
	y := fixed(tag[12:])
	if math.Abs(y) > 2 {
		return 0, broken("tag "+name, "has the luminance %g, expected 0 to 1", y)
	}
	return y, nil
}
