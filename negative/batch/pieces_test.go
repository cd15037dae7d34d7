package batch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"actinic/negative/letters"
	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// green is an ink colour of its own: full ink is not black.
type green struct{ straight }

func (green) Device(ink float64) [3]float64 {
	return [3]float64{1 - ink/100*0.9, 1 - ink/100*0.3, 1 - ink/100}
}
func (green) Neutral() bool { return false }

// photo writes one of the shipped photographs to a folder and returns its name.
func photo(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "photos", name))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// piecesOf returns pieces of a photograph by one curve.
func piecesOf(path string, o tone.Options, copies int, parts ...tone.Part) *Pieces {
	return &Pieces{Open: func() (raster.Source, error) { return raster.Open(path) }, Name: path,
		Curves: []PieceCurve{{straight{}, "blue"}}, Parts: parts, Copies: copies, Recipe: Recipe{Tone: o}}
}

// saved makes the film and returns what was said of it and its rows.
func saved(t *testing.T, p *Pieces, ending string) (PieceFilm, raster.Header, [][]uint16) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "film"+ending)
	film, err := p.Save(t.Context(), out, output.Options{})
	if err != nil {
		t.Fatal(err)
	}
	src, err := raster.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	band := raster.NewBand(src.Header(), src.Header().Height)
	for rest := band; len(rest) > 0; {
		n, err := src.ReadRows(t.Context(), rest)
		if err != nil {
			t.Fatal(err)
		}
		rest = rest[n:]
	}
	return film, src.Header(), band
}

// alone makes a film of one part and one curve, as it is without pieces.
func alone(t *testing.T, p *Pieces, curve tone.Curve, part *Place) (raster.Header, [][]uint16) {
	t.Helper()
	src, err := p.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	lum, err := LuminanceOf(p.Name, src.Header())
	if err != nil {
		t.Fatal(err)
	}
	o := p.Recipe.Tone
	if part != nil {
		at := tone.Part(*part)
		o.Part = &at
	}
	film, err := tone.Negative(src, lum, curve, o, 0)
	if err != nil {
		t.Fatal(err)
	}
	band := raster.NewBand(film.Header(), film.Header().Height)
	if err := readAll(t.Context(), film, band); err != nil {
		t.Fatal(err)
	}
	return film.Header(), band
}

// Each piece is, sample by sample, the film that is made without pieces, where
// the list says that it lies; what is neither piece nor letter is clear film.
func TestPiecesAreFilms(t *testing.T) {
	parts := []tone.Part{{XMM: 5, YMM: 4, WidthMM: 12, HeightMM: 9}, {XMM: 20, YMM: 0, WidthMM: 15.5, HeightMM: 7}}
	both := []PieceCurve{{straight{}, "blue"}, {green{}, "olive ink of last autumn"}}
	edge := tone.Options{WidthMM: 60, PPI: 120, Edge: tone.EdgeOpaque, EdgeMM: 2}
	for name, c := range map[string]struct {
		photo, ending string
		o             tone.Options
		copies        int
		parts         []tone.Part
		curves        []PieceCurve
	}{
		"copies of the whole":        {"cat.png", ".tif", tone.Options{WidthMM: 50, PPI: 100}, 4, nil, both[:1]},
		"parts":                      {"amphitheatre-16bit.tif", ".tif", tone.Options{WidthMM: 60, PPI: 150}, 1, parts, both[:1]},
		"not mirrored, 8 bits":       {"amphitheatre-16bit.tif", ".png", tone.Options{WidthMM: 60, PPI: 150, NoMirror: true, Depth: 8}, 2, parts, both[:1]},
		"grey and colour":            {"amphitheatre.jpg", ".tif", tone.Options{WidthMM: 80, PPI: 100}, 1, parts[:1], both},
		"all at once, with an edge":  {"amphitheatre.jpg", ".tif", edge, 3, parts, both},
		"rows, 8 bits, a film's own": {"cat.png", ".png", tone.Options{Depth: 8, PPI: 180}, 7, nil, both[1:]},
	} {
		t.Run(name, func(t *testing.T) {
			p := piecesOf(photo(t, c.photo), c.o, c.copies, c.parts...)
			p.Curves = c.curves
			film, h, rows := saved(t, p, c.ending)
			if n := c.copies * max(1, len(c.parts)) * len(c.curves); len(film.Pieces) != n {
				t.Fatalf("%d pieces, want %d", len(film.Pieces), n)
			}
			checkPieces(t, p, film, h, rows)
		})
	}
}

func checkPieces(t *testing.T, p *Pieces, film PieceFilm, h raster.Header, rows [][]uint16) {
	t.Helper()
	px := func(mm float64) int { return int(mm*h.PPIX/25.4 + 0.5) }
	covered := make([]bool, h.Width*h.Height)
	for i, piece := range film.Pieces {
		if piece.Number != i+1 {
			t.Errorf("piece %d has number %d", i, piece.Number)
		}
		curve := p.Curves[slices.IndexFunc(p.Curves, func(c PieceCurve) bool { return c.Name == piece.Calibration })].Curve
		ah, want := alone(t, p, curve, piece.Part)
		x, y := px(piece.XMM), px(piece.YMM)
		if !p.Recipe.Tone.NoMirror {
			x = h.Width - x - ah.Width
		}
		for dy, row := range want {
			for dx := range ah.Width {
				covered[(y+dy)*h.Width+x+dx] = true
				for c := range h.Channels {
					if got := rows[y+dy][(x+dx)*h.Channels+c]; got != row[dx*ah.Channels+c%ah.Channels] {
						t.Fatalf("piece %d at %d, %d: %d, alone %d", piece.Number, dx, dy, got, row[dx*ah.Channels+c%ah.Channels])
					}
				}
			}
		}
	}
	checkBetween(t, p, film, h, rows, covered)
}

// checkBetween finds clear film and letters in full ink between the pieces.
func checkBetween(t *testing.T, p *Pieces, film PieceFilm, h raster.Header, rows [][]uint16, covered []bool) {
	t.Helper()
	inks := [][]uint16{}
	for _, c := range p.Curves {
		v := c.Curve.Device(100)
		inks = append(inks, []uint16{uint16(v[0]*65535 + 0.5), uint16(v[1]*65535 + 0.5), uint16(v[2]*65535 + 0.5)}[:h.Channels])
	}
	inked := 0
	for i, piece := range covered {
		v := rows[i/h.Width][i%h.Width*h.Channels:][:h.Channels]
		if piece || slices.Min(v) == 65535 {
			continue
		}
		inked++
		if !slices.ContainsFunc(inks, func(ink []uint16) bool { return near(ink, v) }) {
			t.Fatalf("%v beside the pieces", v)
		}
	}
	if inked == 0 && len(film.Pieces) > 1 {
		t.Error("no number under the pieces")
	}
}

// near says whether codes agree as far as 8 bits tell.
func near(a, b []uint16) bool {
	for i := range a {
		if d := int(a[i]) - int(b[i]); d > 257 || d < -257 {
			return false
		}
	}
	return true
}

// Under each piece stands its number, as the finished print shows it: the first
// at the left, reading from left to right.
func TestPiecesAreNumberedOnThePrint(t *testing.T) {
	for _, noMirror := range []bool{false, true} {
		p := piecesOf(photo(t, "cat.png"), tone.Options{WidthMM: 30, PPI: 160, NoMirror: noMirror}, 11)
		film, h, rows := saved(t, p, ".tif")
		for _, piece := range film.Pieces {
			px := func(mm float64) int { return int(mm*h.PPIX/25.4 + 0.5) }
			m := letters.Line(fmt.Sprint(piece.Number))
			const scale = 2 // 2.8 mm at 160 ppi is 18 pixels, one a pixel of the font; numbers have two
			left := px(piece.XMM) + (px(piece.WidthMM)-m.Width*scale)/2
			top := px(piece.YMM) + px(piece.HeightMM) + px(1)
			for y := range m.Height * scale {
				for x := range m.Width * scale {
					at := left + x
					if !noMirror {
						at = h.Width - 1 - at // the print is the film's mirror image
					}
					if ink := rows[top+y][at] == 0; ink != m.At(x/scale, y/scale) {
						t.Fatalf("number %d, mirrored %v: ink is %v at %d, %d", piece.Number, !noMirror, ink, x, y)
					}
				}
			}
		}
	}
}

// Rows are no wider than 297 mm, pieces 5 mm apart; several copies of several
// pieces stand in columns.
func TestPiecesStandInRows(t *testing.T) {
	at := func(film PieceFilm) string {
		var all []string
		for _, p := range film.Pieces {
			all = append(all, fmt.Sprintf("%.0f,%.0f", p.XMM, p.YMM))
		}
		return strings.Join(all, " ")
	}
	parts := []tone.Part{{WidthMM: 20, HeightMM: 10}, {WidthMM: 30, HeightMM: 10}}
	// 254 ppi makes 10 pixels a millimetre; letters at that resolution: 2.8 mm is
	// 28 pixels, 2 a pixel of the font, so a number is 64 pixels high.
	below := 1 + 6.4
	for _, c := range []struct {
		copies int
		parts  []tone.Part
		want   string
	}{
		{3, nil, fmt.Sprintf("0,0 115,0 0,%.0f", 73.2+below+5)}, // the photograph is 110 x 73.2 mm
		{1, parts, "0,0 25,0"},
		{2, parts, fmt.Sprintf("0,0 35,0 0,%.0f 35,%.0f", 10+below+5, 10+below+5)},
	} {
		film, _, _ := saved(t, piecesOf(photo(t, "cat.png"), tone.Options{WidthMM: 110, PPI: 254}, c.copies, c.parts...), ".tif")
		if got := at(film); got != c.want {
			t.Errorf("%d copies of %d parts lie at %s, want %s", c.copies, len(c.parts), got, c.want)
		}
	}
}

// One piece alone is the film of its part, without number.
func TestOnePieceIsItsFilm(t *testing.T) {
	part := tone.Part{XMM: 3, YMM: 2, WidthMM: 20, HeightMM: 10}
	film, h, rows := saved(t, piecesOf(photo(t, "cat.png"), tone.Options{PPI: 254}, 1, part), ".tif")
	if ah, want := alone(t, piecesOf(film.Input, tone.Options{PPI: 254}, 1), straight{}, film.Pieces[0].Part); ah.Width != h.Width || ah.Height != h.Height || !slices.EqualFunc(rows, want, slices.Equal) {
		t.Errorf("the piece is %d x %d pixels, its film %d x %d, or they differ", h.Width, h.Height, ah.Width, ah.Height)
	}
}

func TestPiecesRefuse(t *testing.T) {
	cat := photo(t, "cat.png")
	for name, c := range map[string]struct {
		p    *Pieces
		want string
	}{
		"too many":             {piecesOf(cat, tone.Options{}, 100), "100 pieces on one film, expected 1 to 99"},
		"none":                 {piecesOf(cat, tone.Options{}, 0), "0 pieces"},
		"a part that is not":   {piecesOf(cat, tone.Options{}, 2, tone.Part{XMM: 900, WidthMM: 5, HeightMM: 5}), "not inside the print"},
		"a picture that isn't": {piecesOf(filepath.Join(t.TempDir(), "none.png"), tone.Options{}, 2), "does not exist"},
	} {
		out := filepath.Join(t.TempDir(), "film.tif")
		_, err := c.p.Save(t.Context(), out, output.Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		checkNothing(t, filepath.Dir(out))
	}
	_, err := piecesOf(cat, tone.Options{}, 2).Save(t.Context(), filepath.Join(t.TempDir(), "film.jpg"), output.Options{})
	var user *fault.Error
	if !errors.As(err, &user) {
		t.Errorf("a film called .jpg gave %v", err)
	}
}

// What must be held is bounded: a picture on its side takes more passes, and one
// that does not fit at all is refused with what it needs.
func TestPiecesKeepWithinMemory(t *testing.T) {
	p := piecesOf("greys.tif", tone.Options{Rotate: 90, PPI: 300}, 1)
	p.Open = func() (raster.Source, error) {
		return newMemory(3000, 2000, func(x, y int) uint16 { return uint16(x*21 ^ y*y) }), nil
	}
	_, _, want := saved(t, p, ".tif")
	src, err := p.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	plan, err := p.plan(src)
	if err != nil {
		t.Fatal(err)
	}
	p.Memory = plan.heldBytes() - 1
	if _, _, got := saved(t, p, ".tif"); !slices.EqualFunc(got, want, slices.Equal) {
		t.Error("another film with less memory")
	}
	p.Memory = 100000
	_, err = p.Save(t.Context(), filepath.Join(t.TempDir(), "film.tif"), output.Options{})
	var user *fault.Error
	if !errors.As(err, &user) || !strings.Contains(user.What, "more than the 1 MiB allowed") || !strings.Contains(user.Hint, "--memory") {
		t.Errorf("too little memory gave %v", err)
	}
}

// Stopped, or with half a picture, nothing is written.
func TestPiecesLeaveNothingBehind(t *testing.T) {
	cat := photo(t, "cat.png")
	stopped, stop := context.WithCancel(t.Context())
	stop()
	dir := t.TempDir()
	if _, err := piecesOf(cat, tone.Options{}, 3).Save(stopped, filepath.Join(dir, "film.tif"), output.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("a stopped run gave %v", err)
	}
	whole, err := os.ReadFile(cat)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(cat, whole[:len(whole)/2], 0o666); err != nil {
		t.Fatal(err)
	}
	_, err = piecesOf(cat, tone.Options{}, 3).Save(t.Context(), filepath.Join(dir, "film.tif"), output.Options{})
	var user *fault.Error
	if !errors.As(err, &user) || user.File != cat {
		t.Errorf("half a picture gave %v", err)
	}
	checkNothing(t, dir)
}

func checkNothing(t *testing.T, dir string) {
	t.Helper()
	if entries, err := os.ReadDir(dir); err != nil || len(entries) > 0 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

// The same film whatever the number of cores, and again after Restart.
func TestPiecesAreTheSameAgain(t *testing.T) {
	p := piecesOf(photo(t, "amphitheatre.jpg"), tone.Options{WidthMM: 200, PPI: 90, Depth: 8}, 3)
	var first [][]uint16
	for _, cores := range []int{1, 2, 5} {
		p.Recipe.Cores = cores
		_, _, rows := saved(t, p, ".tif")
		if first == nil {
			first = rows
		} else if !slices.EqualFunc(first, rows, slices.Equal) {
			t.Errorf("%d cores make another film", cores)
		}
	}
	src, err := p.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	plan, err := p.plan(src)
	if err != nil {
		t.Fatal(err)
	}
	rows := newPieceRows(plan, src, p.Open)
	defer rows.Close()
	band := raster.NewBand(rows.Header(), rows.Header().Height)
	if _, err := rows.ReadRows(t.Context(), band); err != nil {
		t.Fatal(err)
	}
	if err := rows.Restart(); err != nil {
		t.Fatal(err)
	}
	for rest := band; len(rest) > 0; {
		n, err := rows.ReadRows(t.Context(), rest)
		if err != nil {
			t.Fatal(err)
		}
		rest = rest[n:]
	}
	if !slices.EqualFunc(first, band, slices.Equal) {
		t.Error("another film after Restart")
	}
	if _, err := rows.ReadRows(t.Context(), band[:1]); err != io.EOF {
		t.Errorf("below the last row: %v, want EOF", err)
	}
}
