package profile

import "math"

// FromICC returns the luminance of a picture with channels samples a pixel (1
// or 3) and the embedded profile data.
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
	case c.has("A2B1") || c.has("A2B0"):
		return c.tables(channels)
	case channels == 1:
		return c.grey()
	}
	return c.matrix()
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
	if c.space != "GRAY" && c.space != "RGB " {
		return unsupported("the colour space %q", c.space)
	}
	if want := map[string]int{"GRAY": 1, "RGB ": 3}[c.space]; want != channels {
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
	return &Luminance{channels: 1, tables: [3][]float32{bake(trc, 1)}}, nil
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
	var trc [3]curve
	var y [3]float64
	for i, letter := range []string{"r", "g", "b"} {
		var err error
		if y[i], err = c.colorantY(letter + "XYZ"); err != nil {
			return nil, err
		}
		if trc[i], err = c.curve(letter + "TRC"); err != nil {
			return nil, err
		}
	}
	white := y[0] + y[1] + y[2]
	if white <= 0 {
		return nil, broken("tags rXYZ, gXYZ, bXYZ", "give white the luminance %.4g, expected 1", white)
	}
	if white > whitest {
		return nil, unsupported("a white brighter than the medium's (luminance %.4g)", white)
	}
	return newMatrix(trc, y), nil
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
