package sheet

import (
	"flag"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"actinic/testdata/vectors"
)

var (
	packings = flag.Int("packings", 0, "sets to pack for the figure of film used")
	packSeed = flag.Uint64("pack-seed", 4242, "seed of these sets")
)

// mostOver is by how many per cent the film may be longer than the best known
// packing takes.
const mostOver = 5.0

// Published sets whose best packing is known, because they were cut from one
// rectangle (testdata/vectors/strip_packing.csv).
func TestPublishedPackings(t *testing.T) {
	sets := map[string][]piece{}
	bins, best := map[string]bin{}, map[string]int{}
	for _, row := range vectors.Read(t, "strip_packing.csv").Rows {
		n := [5]int{}
		for i := range n {
			v, err := strconv.Atoi(row[i+1])
			if err != nil {
				t.Fatal(err)
			}
			n[i] = v * umPerMM
		}
		name, size := row[0], side2{n[2], n[3]}
		bins[name], best[name] = bin{n[0], 10 * n[1], true}, n[1]
		for range n[4] / umPerMM {
			sets[name] = append(sets[name], piece{size, side2{size.h, size.w}})
		}
	}
	for name, pieces := range sets {
		found := packPieces(bins[name], pieces, searchWork)
		checkPacking(t, bins[name], pieces, found)
		over := 100 * (float64(found.cost.last)/float64(best[name]) - 1)
		t.Logf("%s: %d pieces, %.1f %% longer than the best", name, len(pieces), over)
		if found.cost.pages > 1 || over > mostOver {
			t.Errorf("%s takes %d, the best takes %d", name, found.cost.last, best[name])
		}
	}
}

// checkPacking holds a packing to its bin: nothing overlaps or stands out.
func checkPacking(t *testing.T, b bin, pieces []piece, p packedPieces) {
	t.Helper()
	for i, s := range p.spots {
		size := pieces[i].size(s.turned)
		if size.w == 0 || s.x < 0 || s.y < 0 || s.x+size.w > b.w || s.y+size.h > b.h || s.page >= p.cost.pages {
			t.Fatalf("piece %d of %v lies at %v", i, size, s)
		}
		for k, o := range p.spots[:i] {
			other := pieces[k].size(o.turned)
			if s.page == o.page && s.x < o.x+other.w && o.x < s.x+size.w && s.y < o.y+other.h && o.y < s.y+size.h {
				t.Fatalf("pieces %d and %d overlap: %v and %v", i, k, s, o)
			}
		}
	}
}

// cutUp cuts a rectangle into n pieces, none narrower than least, and turns half
// of them: the rectangle is their best packing.
func cutUp(r *rand.Rand, whole side2, n, least int) []piece {
	parts := []side2{whole}
	for len(parts) < n {
		i := r.IntN(len(parts))
		s := parts[i]
		if r.IntN(2) == 0 {
			s = side2{s.h, s.w}
		}
		if s.w < 2*least {
			continue
		}
		cut := least + r.IntN(s.w-2*least+1)
		parts[i] = side2{cut, s.h}
		parts = append(parts, side2{s.w - cut, s.h})
	}
	r.Shuffle(n, func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
	var pieces []piece
	for _, s := range parts {
		pieces = append(pieces, piece{s, side2{s.h, s.w}})
	}
	return pieces
}

// Sets of 40 mixed sizes, cut from a piece of a roll 604 mm wide (610 without
// margins): how much longer they get. The least side, 60 mm, is that of a small
// negative with its label.
func TestFilmUsed(t *testing.T) {
	var over []float64
	n := max(1, *packings)
	for k := range n {
		r := rand.New(rand.NewPCG(*packSeed, uint64(k)))
		whole := side2{604_000, 1_000_000 + r.IntN(1_000_000)}
		pieces := cutUp(r, whole, 40, 60_000)
		b := bin{whole.w, 10 * whole.h, true}
		found := packPieces(b, pieces, searchWork)
		checkPacking(t, b, pieces, found)
		over = append(over, 100*(float64(found.cost.last)/float64(whole.h)-1))
	}
	slices.Sort(over)
	t.Logf("%d sets: film longer than the best by %.1f %% in the median, %.1f %% at worst", n, over[n/2], over[n-1])
	if over[n-1] > mostOver {
		t.Errorf("a set takes %.1f %% more film than it need", over[n-1])
	}
}

// photoSizes are usual sizes of negatives in millimetres: common practice.
var photoSizes = [][2]float64{{101.6, 127}, {127, 177.8}, {203.2, 254}, {90, 60}, {150, 100}, {120, 120}, {180, 130}, {240, 180}, {100, 75}, {210, 140}}

// Sets of 40 negatives in usual sizes, labelled, on sheets and on a roll, held
// against the bound that their area sets: no packing can do better, and the best
// may do worse. Large
// negatives leave strips of a sheet that nothing fills: sheets are held against a
// search of ten times the length, too.
func TestClassSetsTakeLittleFilm(t *testing.T) {
	n := max(1, *packings)
	for _, name := range []string{"A3+", "roll:610mm"} {
		f, err := ParseFilmOrRoll(name)
		if err != nil {
			t.Fatal(err)
		}
		opts := testOptions(t, "A4")
		if opts.Film = f; *packings == 0 {
			opts.work = searchWork / 10 // to see that nothing is broken
		}
		var over []float64
		for k := range n {
			over = append(over, overBound(t, opts, classItems(rand.New(rand.NewPCG(*packSeed, uint64(k))))))
		}
		slices.Sort(over)
		t.Logf("%s, %d sets: %.1f %% more film than the area bound in the median, %.1f %% at worst", name, n, over[n/2], over[n-1])
		if f.Roll && over[n-1] > mostOver {
			t.Errorf("%s: %.1f %% more film than the area bound", name, over[n-1])
		}
	}
}

func classItems(r *rand.Rand) []Item {
	var items []Item
	for range 40 {
		s := photoSizes[r.IntN(len(photoSizes))]
		if r.IntN(2) == 0 {
			s[0], s[1] = s[1], s[0]
		}
		items = append(items, item(s[0], s[1]))
	}
	return items
}

// overBound returns by how many per cent a layout takes more film than the area
// of its blocks with their gaps, whole sheets counted, would.
func overBound(t *testing.T, opts Options, items []Item) float64 {
	pages, err := Layout(items, opts)
	if err != nil {
		t.Fatal(err)
	}
	l := newLayouter(opts)
	room := l.room()
	pieces, _ := l.piecesOf(numbered(items), room)
	b := bin{l.um(room.w), l.um(room.h), opts.Film.Roll}
	bound := leastCost(b, pieces)
	least := float64(bound.pages) * opts.Film.HeightMM
	if b.roll {
		least = l.lengthFor(room.y + float64(bound.last)/umPerMM - opts.GapMM)
	}
	if !b.roll {
		checkAgainstLongSearch(t, opts, items, len(pages))
	}
	return 100 * (l.filmMM(pages)/least - 1)
}

// checkAgainstLongSearch fails where ten times the work saves a sheet of ten.
func checkAgainstLongSearch(t *testing.T, opts Options, items []Item, sheets int) {
	if *packings == 0 {
		return
	}
	opts.work = 10 * searchWork
	pages, err := Layout(items, opts)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d sheets, %d after ten times the search", sheets, len(pages))
	if float64(sheets) > 1.1*float64(len(pages)) {
		t.Errorf("%d sheets, %d after ten times the search", sheets, len(pages))
	}
}
