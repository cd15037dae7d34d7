package raster

import (
	"io"
	"math"

	"actinic/negative/packing"
)

// Compression says how a TIFF sink packs its strips.
type Compression int

const (
	// Deflate packs each strip as a zlib stream (compression 8 of Adobe's TIFF
	// Technical Note 2, 2002) of horizontal differences (TIFF 6.0, section 14),
	// without loss.
	Deflate Compression = iota
	// NoCompression is for programs that read nothing else.
	NoCompression
)

// TIFFOptions says how a TIFF file is written. The zero value packs with
// deflate on all cores.
type TIFFOptions struct {
	Compression Compression
	// Jobs is the number of cores that pack what WriteRows takes, 0 for all. The
	// file does not depend on it.
	Jobs int

	classicBytes int64 // the most of a file with offsets of 32 bits; 0: what they can tell
}

// tiffSink writes a TIFF file of one picture in strips, the directory last.
type tiffSink struct {
	strips
	w       io.WriteSeeker
	comp    Compression
	buffers stripBuffers
	classic int64 // bytes up to which offsets have 32 bits
	at      int64 // bytes written
	where   []int64
	size    []int64
}

// NewTIFF returns a sink that writes a TIFF file to w from its start: TIFF 6.0,
// or BigTIFF if it grows beyond 4 gigabytes; grey (black is zero) or RGB of 8 or
// 16 bits, the less significant byte first, upright, with the Width, Height,
// Channels, Bits, PPIX, PPIY (none when 0) and Description of h. Equal rows give
// equal bytes, whichever way they come.
//
// Sinks write no profile: the numbers of a film go to the printer as they are.
// It fails when h has one, or anything else that the file cannot hold, and then
// nothing is written; with *UnsupportedError when the picture is too large.
func NewTIFF(w io.WriteSeeker, h Header, o *TIFFOptions) (StripSink, error) {
	if o == nil {
		o = &TIFFOptions{}
	}
	if err := checkSink("TIFF", h); err != nil {
		return nil, err
	}
	s := &tiffSink{w: w, comp: o.Compression, buffers: newStripBuffers(h), classic: math.MaxUint32}
	if o.classicBytes > 0 {
		s.classic = o.classicBytes
	}
	s.begin(h, o.Jobs, s.newPacker, s.store)
	return s, s.write(make([]byte, tiffStart)) // the header comes last: a part of a file is no TIFF
}

// tiffStart is where the first strip lies: the header of BigTIFF fits before it.
// Which header is needed is known at the end only.
const tiffStart = 16

func (s *tiffSink) newPacker() Packer {
	p := &tiffPacker{head: s.head, buffers: s.buffers}
	if s.comp == Deflate {
		p.deflate = packing.New()
	}
	return p
}

// store writes a strip. What follows begins on a word again (TIFF 6.0, page 13).
func (s *tiffSink) store(strip Strip) error {
	s.where = append(s.where, s.at)
	s.size = append(s.size, int64(len(strip.Data)))
	data := strip.Data
	if len(data)%2 == 1 {
		data = append(data, 0)
	}
	if err := s.write(data); err != nil {
		return err
	}
	s.buffers.put(data)
	return nil
}

func (s *tiffSink) write(p []byte) error {
	n, err := s.w.Write(p)
	s.at += int64(n)
	return err
}

// Commit writes the directory, then the header that makes the file a TIFF.
func (s *tiffSink) Commit() error {
	if err := s.finish(); err != nil {
		return err
	}
	form := classicTIFF
	raw, at := s.directory(form)
	if s.at+int64(len(raw)) > s.classic {
		form = bigTIFF
		raw, at = s.directory(form)
	}
	if err := s.write(raw); err != nil {
		return err
	}
	if _, err := s.w.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if _, err := s.w.Write(form.header(at)); err != nil {
		return err
	}
	_, err := s.w.Seek(0, io.SeekEnd)
	return err
}
