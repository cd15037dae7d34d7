package batch

import (
	"errors"

	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// Plan says what the film of a picture will be, from the headers alone: its size
// and form, and what the user should know. The profile of the picture is checked,
// no row is read. It fails with *fault.Error, under the picture's name, when
// there can be no film.
func (r *Recipe) Plan(path string) (film raster.Header, notices []string, err error) {
	src, err := raster.Open(path)
	if err != nil {
		return film, nil, err
	}
	defer src.Close()
	if _, err := LuminanceOf(path, src.Header()); err != nil {
		return film, nil, err
	}
	f, err := tone.Negative(src, unlit{}, r.Curve, r.options("", ""), 1)
	if err != nil {
		return film, nil, fault.InFile(err, path)
	}
	defer f.Close()
	return f.Header(), append(append([]string{}, src.Header().Notices...), f.Notices()...), nil
}

// Source returns the film of a picture, made as its rows are read: no file is
// written. It fails with *fault.Error when there can be no film, and, when it is
// closed, where the picture was changed while it was read.
func (r *Recipe) Source(path string) (raster.Source, error) {
	p, err := openPicture(path, nil)
	if err != nil {
		return nil, err
	}
	s := &filmSource{picture: p}
	if s.src, err = raster.Open(path); err != nil {
		p.close()
		return nil, p.blame(err)
	}
	lum, err := LuminanceOf(path, s.src.Header())
	if err == nil {
		s.Film, err = tone.Negative(s.src, lum, r.Curve, r.options("", ""), r.Cores)
	}
	if err != nil {
		return nil, errors.Join(fault.InFile(err, path), s.src.Close(), s.end())
	}
	return s, nil
}

// filmSource is a film with the picture that it is made of.
type filmSource struct {
	*tone.Film
	src     raster.Source
	picture *picture
}

// Close frees the rows, closes the picture, and says whether it was changed.
func (s *filmSource) Close() error { return errors.Join(s.Film.Close(), s.src.Close(), s.end()) }

func (s *filmSource) end() error {
	defer s.picture.close()
	return s.picture.unchanged()
}
