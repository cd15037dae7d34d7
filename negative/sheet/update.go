package sheet

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"regexp"
	"strconv"

	"actinic/process/fault"
)

// A page library lays out text and marks with a small placeholder for each
// picture. The pictures themselves, too large for memory and of 16 bits, follow
// as an incremental update (ISO 32000-1:2008, 7.5.6): new objects with the
// placeholders' numbers, and a cross-reference section for them.

// skeleton is the file with its placeholders.
type skeleton struct {
	data       []byte
	images     map[int]int // object number by placeholder
	size       int         // objects, the free one included
	root, info int
	xref       int    // offset of the cross-reference section
	catalog    []byte // inside of the catalog's dictionary
}

var (
	imageObject = regexp.MustCompile(`\n(\d+) 0 obj\n<</Type /XObject\n/Subtype /Image\n/Width (\d+)\n`)
	trailerForm = regexp.MustCompile(`trailer\n<<\n/Size (\d+)\n/Root (\d+) 0 R\n/Info (\d+) 0 R\n>>\nstartxref\n(\d+)\n%%EOF\n$`)
	headerForm  = regexp.MustCompile(`^%PDF-1\.[0-9]\n`)
)

// readSkeleton finds in data what the update has to refer to. It fails when the
// page library wrote something that this package does not know.
func readSkeleton(data []byte, images int) (*skeleton, error) {
	t := trailerForm.FindSubmatch(data)
	if t == nil || !headerForm.Match(data) {
		return nil, fmt.Errorf("sheet: the laid-out pages have no trailer of the known form")
	}
	s := &skeleton{data: data, images: map[int]int{}}
	s.size, s.root, s.info, s.xref = number(t[1]), number(t[2]), number(t[3]), number(t[4])
	for _, m := range imageObject.FindAllSubmatch(data, -1) {
		s.images[number(m[2])-1] = number(m[1])
	}
	if len(s.images) != images {
		return nil, fmt.Errorf("sheet: %d placeholders among the laid-out pages, expected %d", len(s.images), images)
	}
	start := []byte(fmt.Sprintf("\n%d 0 obj\n<<\n", s.root))
	i := bytes.LastIndex(data, start)
	j := bytes.LastIndex(data, []byte("\n>>\nendobj\nxref\n"))
	if i < 0 || j < i {
		return nil, fmt.Errorf("sheet: the laid-out pages have no catalog of the known form")
	}
	s.catalog = data[i+len(start) : j]
	return s, nil
}

// number reads digits that a pattern has matched.
func number(digits []byte) int {
	n, _ := strconv.Atoi(string(digits))
	return n
}

// update writes the skeleton and then what replaces its placeholders.
type update struct {
	*skeleton
	w       counter
	offsets map[int]int64
	next    int // the first object number not used yet
}

// counter counts what passes.
type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.w.Write(b)
	c.n += int64(n)
	return n, err
}

// begin writes the skeleton. Images of 16 bits need PDF 1.5 (ISO 32000-1:2008,
// table 89).
func (s *skeleton) begin(w io.Writer) (*update, error) {
	u := &update{skeleton: s, w: counter{w: w}, offsets: map[int]int64{}, next: s.size}
	copy(s.data, "%PDF-1.5\n")
	_, err := u.w.Write(s.data)
	return u, err
}

// mostBytes is where the ten digits of a cross-reference entry end (ISO
// 32000-1:2008, 7.5.4).
const mostBytes = 9_999_999_999

// object begins a new or replaced object.
func (u *update) object(n int, text string) error {
	if u.w.n > mostBytes {
		return fault.New("", "", "the sheet is larger than a PDF may be, 10 GB", "put fewer negatives into one file")
	}
	u.offsets[n] = u.w.n
	_, err := fmt.Fprintf(&u.w, "%d 0 obj\n%s", n, text)
	return err
}

// image writes placeholder i's picture. Its length is not known before its rows
// have passed, so it stands in an object of its own after it.
func (u *update) image(i int, p pixels) error {
	f := p.form()
	space := "/DeviceGray"
	if f.channels == 3 {
		space = "/DeviceRGB"
	}
	length := u.next
	u.next++
	dict := fmt.Sprintf("<</Type /XObject\n/Subtype /Image\n/Width %d\n/Height %d\n/ColorSpace %s\n/BitsPerComponent %d\n"+
		"/Interpolate false\n/Filter /FlateDecode\n/DecodeParms <</Predictor 15 /Colors %d /BitsPerComponent %d /Columns %d>>\n/Length %d 0 R>>\nstream\n",
		f.width, f.height, space, f.bits, f.channels, f.bits, f.width, length)
	if err := u.object(u.images[i], dict); err != nil {
		return err
	}
	start := u.w.n
	if err := writeDeflated(&u.w, p); err != nil {
		return err
	}
	size := u.w.n - start
	if _, err := io.WriteString(&u.w, "\nendstream\nendobj\n"); err != nil {
		return err
	}
	return u.object(length, fmt.Sprintf("%d\nendobj\n", size))
}

// finish replaces the catalog and writes the cross-reference section. The
// print-scaling preference came with PDF 1.6 (ISO 32000-1:2008, table 150).
func (u *update) finish() error {
	catalog := fmt.Sprintf("<<\n%s\n/Version /1.6\n/ViewerPreferences <</PrintScaling /None>>\n>>\nendobj\n", u.catalog)
	if err := u.object(u.root, catalog); err != nil {
		return err
	}
	start := u.w.n
	if err := u.crossReference(); err != nil {
		return err
	}
	id := sha256.Sum256(u.data)
	_, err := fmt.Fprintf(&u.w, "trailer\n<<\n/Size %d\n/Root %d 0 R\n/Info %d 0 R\n/Prev %d\n/ID [<%x> <%x>]\n>>\nstartxref\n%d\n%%%%EOF\n",
		u.next, u.root, u.info, u.xref, id[:16], id[16:], start)
	return err
}

// crossReference writes one subsection for each run of object numbers; a line
// is 20 bytes (ISO 32000-1:2008, 7.5.4).
func (u *update) crossReference() error {
	var b bytes.Buffer
	b.WriteString("xref\n")
	for n := 1; n < u.next; n++ {
		if _, ok := u.offsets[n]; !ok {
			continue
		}
		end := n
		for _, ok := u.offsets[end]; ok; _, ok = u.offsets[end] {
			end++
		}
		fmt.Fprintf(&b, "%d %d\n", n, end-n)
		for ; n < end; n++ {
			fmt.Fprintf(&b, "%010d 00000 n \n", u.offsets[n])
		}
	}
	_, err := u.w.Write(b.Bytes())
	return err
}
