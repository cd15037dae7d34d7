package chart

import "math/rand/v2"

// draw is where everything random comes from: the seed alone.
type draw struct{ from *rand.PCG }

// newDraw returns the stream of a seed; the second word only sets this use of a
// seed apart from others.
func newDraw(seed uint64) *draw { return &draw{rand.NewPCG(seed, 0x63686172745f3031)} }

// below returns a number from 0 to n-1. The bias for n far below 2^64 is nil
// for all that matters, and the numbers do not depend on a library's method.
func (d *draw) below(n int) int { return int(d.from.Uint64() % uint64(n)) }

// order returns the numbers 0 to n-1 in random order.
func (d *draw) order(n int) []int {
	order := make([]int, n)
	for i := range order {
		j := d.below(i + 1)
		order[i], order[j] = order[j], i
	}
	return order
}

// place is where a patch lies, in thousandths of the page from its middle.
type place struct{ x, y int64 }

// placesOf returns the places of all cells, page after page.
func placesOf(pages [][]cell) []place {
	var all []place
	for _, cells := range pages {
		area := extent(cells)
		for _, c := range cells {
			all = append(all, place{
				int64(2*(c.at.x-area.x)+c.at.w-area.w) * 1000 / int64(area.w),
				int64(2*(c.at.y-area.y)+c.at.h-area.h) * 1000 / int64(area.h)})
		}
	}
	return all
}

// extent is the smallest box around all cells.
func extent(cells []cell) box {
	e := cells[0].at
	for _, c := range cells {
		right, bottom := max(e.right(), c.at.right()), max(e.bottom(), c.at.bottom())
		e.x, e.y = min(e.x, c.at.x), min(e.y, c.at.y)
		e.w, e.h = right-e.x, bottom-e.y
	}
	return e
}

// scatterTries is of how many orders the best is taken: dozens do, as few terms
// are to be kept apart (a working value of ours).
const scatterTries = 64

// scatter returns patches in the order of the places. Of several random orders
// it takes the one in which rank, 0 to 1000, has the least to do with the place:
// otherwise what coating and lamp do across the sheet would pass for tone.
func scatter(patches []Patch, places []place, rank func(*Patch) int64, d *draw) []Patch {
	terms := termsOf(places)
	ranks := make([]int64, len(patches))
	for i := range patches {
		ranks[i] = rank(&patches[i])
	}
	ranks = centred(ranks)
	var best []int
	least := int64(-1)
	for range scatterTries {
		order := d.order(len(patches))
		if s := alike(ranks, order, terms); least < 0 || s < least {
			best, least = order, s
		}
	}
	sorted := make([]Patch, len(patches))
	for i, k := range best {
		sorted[i] = patches[k]
	}
	return sorted
}

// termsOf returns x, y, x², xy and y² of the places, about 1000 at most, less
// their means.
func termsOf(places []place) [5][]int64 {
	var terms [5][]int64
	for _, p := range places {
		for i, v := range []int64{p.x, p.y, p.x * p.x / 1000, p.x * p.y / 1000, p.y * p.y / 1000} {
			terms[i] = append(terms[i], v)
		}
	}
	for i := range terms {
		terms[i] = centred(terms[i])
	}
	return terms
}

func centred(v []int64) []int64 {
	sum := int64(0)
	for _, x := range v {
		sum += x
	}
	c := make([]int64, len(v))
	for i, x := range v {
		c[i] = x - sum/int64(len(v))
	}
	return c
}

// alike sums, over the terms, the squared correlation of the ranks in an order
// with the term, in millionths.
func alike(ranks []int64, order []int, terms [5][]int64) int64 {
	total, own := int64(0), int64(1)
	for _, r := range ranks {
		own += r * r
	}
	for _, term := range terms {
		both, power := int64(0), int64(1)
		for i, k := range order {
			both += ranks[k] * term[i]
			power += term[i] * term[i]
		}
		// At most 5000 x 1000 x 1000: the square keeps within 64 bits.
		total += ratio(both, power, own)
	}
	return total
}

// ratio is both² / (power x own) in millionths.
func ratio(both, power, own int64) int64 {
	both = max(both, -both) / 4 // 5e9 / 4, squared, stays below 2^63
	return both * both / power * 1_000_000 / max(own/16, 1)
}

// inkRank ranks by film ink, 0 to 1000; what is on no ramp by its darkness.
func inkRank(p *Patch) int64 {
	if p.Ink != nil {
		return int64(*p.Ink * 10)
	}
	return darkness(p)
}

// darkness ranks by how far the printer's values are from white, 0 to 1000.
func darkness(p *Patch) int64 {
	d := p.Device
	return int64((765 - d[0] - d[1] - d[2]) * 1000 / 765)
}
