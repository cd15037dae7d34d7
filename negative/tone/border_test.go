package tone

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"actinic/negative/letters"
	"actinic/negative/raster"
)

func film(t *testing.T, c Curve) *InkTable {
	t.Helper()
	f, err := Bake(c)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// draw renders a border alone, grey, 0 where full ink lies.
func (b *border) draw() [][]uint16 {
	rows := make([][]uint16, b.height)
	for y := range rows {
		rows[y] = make([]uint16, b.width*len(b.clear))
		b.row(rows[y], y)
	}
	return rows
}

func TestBorderAddsNothingUnasked(t *testing.T) {
	b := newBorder(100, 70, 254, film(t, greyCurve), &Options{EdgeMM: 12})
	if b.width != 100 || b.height != 70 || b.picture != (rect{0, 0, 100, 70}) || len(b.marks) > 0 {
		t.Errorf("film %d x %d, picture %v, %d marks", b.width, b.height, b.picture, len(b.marks))
	}
}

func TestEdges(t *testing.T) {
	tests := []struct {
		edge   Edge
		side   int         // at 254 ppi, 10 pixels a millimetre
		values map[int]int // distance from the film's side: code at mid height
	}{
		{EdgeClear, 50, map[int]int{0: 65535, 49: 65535}},
		{EdgeOpaque, 50, map[int]int{0: 0, 25: 0, 49: 0}},
		{EdgeKeyline, 53, map[int]int{0: 0, 2: 0, 3: 65535, 52: 65535}},
	}
	for _, test := range tests {
		b := newBorder(200, 100, 254, film(t, greyCurve), &Options{Edge: test.edge, EdgeMM: 5})
		if b.width != 200+2*test.side || b.height != 100+2*test.side || b.picture.x0 != test.side || b.picture.y0 != test.side {
			t.Errorf("edge %d: film %d x %d, picture %v", test.edge, b.width, b.height, b.picture)
			continue
		}
		row := b.draw()[b.height/2]
		for x, want := range test.values {
			if int(row[x]) != want || int(row[len(row)-1-x]) != want {
				t.Errorf("edge %d, %d pixels in: %d and %d, want %d", test.edge, x, row[x], row[len(row)-1-x], want)
			}
		}
	}
}

func TestMarksAtFourCorners(t *testing.T) {
	b := newBorder(300, 200, 254, film(t, greyCurve), &Options{Marks: true})
	rows := b.draw()
	for _, x := range []int{40, b.width - 40} { // 4 mm in: middle of the 8 mm band
		for _, y := range []int{40, b.height - 40} {
			if rows[y][x] != 0 || rows[y][x-24] != 0 || rows[y-24][x] != 0 || rows[y-24][x-24] != 65535 {
				t.Errorf("no cross at %d,%d", x, y)
			}
		}
	}
}

// The strip's patches are the curve's own codes, in order, side by side.
func TestCheckStrip(t *testing.T) {
	for _, positive := range []bool{false, true} {
		f := film(t, olive)
		b := newBorder(1200, 400, 254, f, &Options{CheckStrip: true, Positive: positive})
		rows := b.draw()
		y := 400 + 20 + 40 // gap 2 mm, half of 8 mm
		for i, p := range StripTones() {
			tone := p.Tone
			if positive {
				tone = 100 - tone
			}
			want := f.Codes(tone)
			for _, x := range []int{100 + i*100, 100 + i*100 + 99} {
				if got := rows[y][3*x : 3*x+3]; [3]uint16(got) != [3]uint16(want) {
					t.Errorf("positive %v, patch %d at %d: %v, want %v", positive, p.Number, x, got, want)
				}
			}
		}
	}
}

// Patches 3 and 4 are the last two before black, a small step apart, and touch.
func TestStripTonesServeInspection(t *testing.T) {
	p := StripTones()
	if p[3].Tone != 0 || p[2].Tone-p[3].Tone > 1.5 || p[1].Tone-p[2].Tone < 1.5 {
		t.Errorf("patches %v", p[:4])
	}
	for i := range p {
		if p[i].Number != i+1 {
			t.Errorf("patch %d is numbered %d", i+1, p[i].Number)
		}
	}
	if !strings.Contains(StripHint, "3 and 4") {
		t.Errorf("hint %q names other patches", StripHint)
	}
}

// inkOf reads a drawn text back by comparing it with the font, letter by letter.
func inkOf(rows [][]uint16, left, top, scale, count int) string {
	text := ""
	for i := range count {
		best, score := '?', -1
		for r := ' '; r <= '~'; r++ {
			m, same := letters.Line(string(r)), 0
			for y := range letters.Height {
				for x := range letters.Width {
					on := rows[top+y*scale][left+(i*letters.Width+x)*scale] == 0
					if on == m.On[y*letters.Width+x] {
						same++
					}
				}
			}
			if same > score {
				best, score = r, same
			}
		}
		text += string(best)
	}
	return text
}

func TestLabelReadsRight(t *testing.T) {
	const text = "Harbour 3, cyanotype"
	b := newBorder(800, 100, 254, film(t, greyCurve), &Options{Label: text})
	wide := len(text) * letters.Width * b.scale()
	if got := inkOf(b.draw(), (800-wide)/2, 110, b.scale(), len(text)); got != text {
		t.Errorf("label reads %q, want %q", got, text)
	}
}

func TestLongLabelWraps(t *testing.T) {
	long := strings.Repeat("exposed on damp paper ", 12)
	b := newBorder(400, 100, 254, film(t, greyCurve), &Options{Label: long})
	for _, m := range b.marks {
		if m.at.x0 < 0 || m.at.x1 > b.width || m.at.y1 > b.height {
			t.Errorf("line at %v leaves the film, %d x %d", m.at, b.width, b.height)
		}
	}
	if got := letters.Wrap("abcdefgh ij", 3); strings.Join(got, "|") != "abc|def|gh|ij" {
		t.Errorf("wrapped %q", got)
	}
	if got := letters.Wrap("  ", 5); got != nil {
		t.Errorf("blank label gave %q", got)
	}
}

// Rows that look alike are drawn once; in any order each looks as drawn by
// itself.
func TestFramesAreAsDrawn(t *testing.T) {
	h := raster.Header{Width: 90, Height: 40, Channels: 1, Bits: 16, Orientation: 1}
	for _, o := range []Options{
		{Edge: EdgeKeyline, EdgeMM: 3, Marks: true, CheckStrip: true, Label: "Boat, 3rd"},
		{WidthMM: 90, HeightMM: 90, Fit: FitPad, Edge: EdgeOpaque, EdgeMM: 2}, {NoMirror: true, Label: "B"},
	} {
		o.PPI = 72
		s, err := newStages(h, film(t, olive), &o)
		if err != nil {
			t.Fatal(err)
		}
		var cached frames
		got, want := make([]uint16, 3*s.border.width), make([]uint16, 3*s.border.width)
		r := rand.New(rand.NewPCG(1, 2))
		for i := range 4 * s.border.height {
			y := i % s.border.height
			if i >= 2*s.border.height {
				y = r.IntN(s.border.height)
			}
			if s.covers(y) {
				continue
			}
			cached.draw(s, got, y)
			if s.frame(want, y); !slices.Equal(got, want) {
				t.Fatalf("%+v: row %d differs", o, y)
			}
		}
	}
}
