package raster

import (
	"context"
	"io"

	"actinic/negative/packing"
)

// Access says in which order a source can give its rows.
type Access int

const (
	// Sequential sources give rows from the top, again after Restart.
	Sequential Access = iota
	// AnyRow sources are RowSeekers too: the file's strips or tiles can be
	// decoded from any row on.
	AnyRow
	// Whole sources decode the picture into memory at the first row (HeldBytes)
	// and are RowSeekers too.
	Whole
)

// Space says what the samples of a pixel mean.
type Space int

const (
	// ByChannels is grey or RGB light, encoded as Profile or Gamma says.
	ByChannels Space = iota
	// Inks is CMYK: 4 channels, 65535 full ink. Only Profile can tell its light.
	Inks
	// Lightness is CIE L* itself: 1 channel, 65535 is L* 100. L*a*b* pictures
	// give it, without their hue.
	Lightness
)

// Header is what is known of a picture before its rows are decoded, or of a
// file before they are written.
type Header struct {
	Width, Height int // pixels, as the rows come; see Orientation
	// Channels is 1 for grey and 3 for red, green, blue interleaved, unless Space
	// says otherwise. Transparency is composited on white, on encoded values as
	// picture editors do it; palettes are looked up.
	Channels int
	// Space says what the samples mean.
	Space Space
	Bits  int // of a sample in the file, 1 to 16; rows have 16 always
	// PPIX and PPIY are the resolution along the rows and down the columns in
	// pixels an inch; 0 when the file gives none.
	PPIX, PPIY float64
	// Orientation is how the rows lie: TIFF tag 274, EXIF the same, 1 to 8.
	// Sources set it always; the rows are not turned. See Oriented.
	Orientation int
	// Profile is the embedded ICC profile, nil when there is none. It is not
	// checked here. Sinks refuse one.
	Profile []byte
	// Gamma is the exponent by which encoded samples become light, where the file
	// gives one instead of a profile (PNG gAMA); 0 when it does not.
	Gamma float64
	// RGBLight is the light of full red, green and blue, white 1, adapted to the D50
	// of ICC profiles, where the file states its primaries instead of a profile
	// (PNG cHRM, cICP) and they are not sRGB's; zeros otherwise.
	RGBLight    [3]float64
	Format      string   // "TIFF", "PNG" or "JPEG"
	Description string   // the file's own text, may be empty
	Notices     []string // whole sentences for the user: pages or channels left out
	Access      Access
	// BandRows is how many rows the file keeps together: reading in multiples of
	// it wastes nothing. At least 1.
	BandRows int
	// HeldBytes is the memory that the source takes while it is read, apart
	// from the rows given to it.
	HeldBytes int64
	// ForkBytes is the memory that each further reader takes; see Forker.
	ForkBytes int64
}

// RowSamples returns the length of a row: Width x Channels.
func (h Header) RowSamples() int { return h.Width * h.Channels }

// Source yields the rows of one picture. It is not safe for concurrent use.
type Source interface {
	// Header is known without decoding and does not change.
	Header() Header
	// ReadRows fills the rows of dst from the first on, each at least
	// Header().RowSamples() long, and returns how many: at least one, or an error;
	// io.EOF below the last row. Samples of fewer bits are stretched to 16: 8-bit
	// ones times 257, exactly.
	ReadRows(ctx context.Context, dst [][]uint16) (int, error)
	// Restart makes the next ReadRows begin at the first row again.
	Restart() error
	// Close frees file and memory.
	Close() error
}

// RowSeeker is a Source whose Header().Access is AnyRow or Whole.
type RowSeeker interface {
	Source
	// SeekRow makes the next ReadRows begin at row y, 0 to Height.
	SeekRow(y int) error
}

// Forker is a RowSeeker whose rows several goroutines can decode at once, each
// through a reader of its own.
type Forker interface {
	RowSeeker
	// Fork returns another reader of the same picture, at its first row. Readers
	// share the file, and the picture where it is held whole, but nothing that
	// moves. Closing one closes no other; the first one must be closed last.
	Fork() (Forker, error)
}

// Witness is a Source that learns something of the picture only while its rows
// are read: samples beyond white, say.
type Witness interface {
	// Seen returns whole sentences for the user, of what all readers of the picture
	// met so far.
	Seen() []string
}

// Sink takes the rows of one file, whose Header it was made with. It is not safe
// for concurrent use.
//
// A sink finishes its own bytes only: the file below it (package output) is
// committed or aborted by whoever made it, so that several files can appear
// together.
type Sink interface {
	// WriteRows takes the next rows, each of Header.RowSamples() 16-bit samples.
	// They are not kept. A sink of 8 bits takes multiples of 257 exactly and rounds
	// other values: dithering happens before.
	WriteRows(ctx context.Context, rows [][]uint16) error
	// Commit writes what follows the last row. It fails if rows are missing.
	Commit() error
	// Abort drops what is under way. After Commit it does nothing.
	Abort()
}

// StripSink is a Sink that also takes strips packed elsewhere, by several
// goroutines. A file is written in one way or the other, not both.
type StripSink interface {
	Sink
	// StripRows is how many rows each strip has; the last may have fewer.
	StripRows() int
	// NewPacker returns a packer for one goroutine.
	NewPacker() Packer
	// WriteStrip takes the next strip, in order, and owns it.
	WriteStrip(ctx context.Context, s Strip) error
}

// Packer turns rows into what a file stores. Equal rows give equal bytes.
type Packer interface {
	// Pack packs the rows of one strip, as WriteRows takes them. They are not kept,
	// but may be changed.
	Pack(rows [][]uint16) (Strip, error)
}

// Strip is a strip as its file stores it.
type Strip struct {
	Rows int
	Data []byte

	piece packing.Piece // what a checksum over all strips needs
}

// Copy gives all remaining rows of src to sink, a band at a time. It neither
// closes src nor commits sink.
func Copy(ctx context.Context, sink Sink, src Source) error {
	h := src.Header()
	band := NewBand(h, min(max(leastCopyRows, h.BandRows), mostCopyRows, h.Height))
	for {
		n, err := src.ReadRows(ctx, band)
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if err := sink.WriteRows(ctx, band[:n]); err != nil {
			return err
		}
	}
}

// Copy takes the rows that a source keeps together, within these.
const leastCopyRows, mostCopyRows = 16, 64

// NewBand returns n rows to read into. They lie one behind the other, and each
// reaches to the end of the band: sources may fill many of them at once.
func NewBand(h Header, n int) [][]uint16 {
	stride := h.RowSamples()
	all := make([]uint16, n*stride)
	band := make([][]uint16, n)
	for i := range band {
		band[i] = all[i*stride : (i+1)*stride]
	}
	return band
}
