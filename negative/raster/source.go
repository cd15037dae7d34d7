package raster

import (
	"context"
	"io"
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

// Header is what is known of a picture before its rows are decoded, or of a
// file before they are written.
type Header struct {
	Width, Height int // pixels, as the rows come; see Orientation
	// Channels is 1 for grey and 3 for red, green, blue interleaved. Transparency
	// is composited on white, on encoded values as picture editors do it; palettes
	// are looked up.
	Channels int
	Bits     int // of a sample in the file, 1 to 16; rows have 16 always
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
	Gamma       float64
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

// NewBand returns n rows to read into.
func NewBand(h Header, n int) [][]uint16 {
	stride := h.RowSamples()
	all := make([]uint16, n*stride)
	band := make([][]uint16, n)
	for i := range band {
		band[i] = all[i*stride : (i+1)*stride : (i+1)*stride]
	}
	return band
}
