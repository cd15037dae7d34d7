package profile

import (
	"fmt"
	"io"
	"math"
	"time"
)

// Film gives what the printer takes for a picture tone, L* 0..100: red, green and
// blue, 0 for none of its light to 1 for all.
type Film func(tone float64) [3]float64

// Link is a calibration's curve from coded grey straight to the values of the film.
type Link struct {
	Description string // shown by programs in their lists
	Copyright   string
	From        Coding // how the grey that it takes is coded
	Film        Film
	Grey        bool      // red, green and blue are the same: the film is a grey picture
	Created     time.Time // in the file as UTC; zero is written as not known
}

// WriteLink writes an ICC device link of version 4.3 (ISO 15076-1), made of curves
// alone: GRAY to GRAY or, where the film is not grey, RGB to RGB, a curve for each
// channel of a grey picture whose red, green and blue are the same (WriteCoded
// makes pictures so). Whoever applies it inverts nothing. The curve may rise, fall or
// do both. The same Link gives the same bytes.
//
// Curves alone, because lcms2 keeps them with its defaults, within 1/1000 of full ink
// even where the curve is steep. A link from GRAY to RGB needs a table, for which it
// puts a grid of 33 points, and it turns the full ink of picture white into clear film,
// as the white of RGB.
//
// It fails if the film's values leave 0..1, or if writing does.
func WriteLink(w io.Writer, l Link) error {
	curves, err := l.sample()
	if err != nil {
		return err
	}
	space := l.space()
	if l.Grey {
		curves = curves[:1]
	}
	return writeProfile(w, header("link", space, space, l.Created), l.Description, l.Copyright, []tagData{
		{"A2B0", curvesOnly(curves)}, {"pseq", sequence(l.From.String()+" grey", "film")},
	})
}

func (l *Link) space() string {
	if l.Grey {
		return "GRAY"
	}
	return "RGB "
}

// linkNodes is how many nodes a link's curves have, even over the coded grey: a kink
// of 30 % a unit of L* is met within 0.05 % of full ink. Some readers refuse tables of
// 32768 and more.
const linkNodes = 16385

// sample returns the film's three curves over the coded grey, as curveType tags.
func (l *Link) sample() ([][]byte, error) {
	var values [3][]uint16
	for i := range linkNodes {
		rgb, err := l.at(float64(i) / (linkNodes - 1))
		if err != nil {
			return nil, err
		}
		for ch, v := range rgb {
			values[ch] = append(values[ch], uint16(math.Round(v*65535)))
		}
	}
	return [][]byte{sampled(values[0]), sampled(values[1]), sampled(values[2])}, nil
}

// at returns the film's values of a coded grey of 0..1.
func (l *Link) at(value float64) ([3]float64, error) {
	tone := l.From.Tone(value)
	rgb := l.Film(tone)
	for _, v := range rgb {
		if !(v >= 0 && v <= 1) {
			return rgb, fmt.Errorf("profile: the film has %g for tone %g, expected 0 to 1", v, tone)
		}
	}
	return rgb, nil
}
