package recipe

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"actinic/process/fault"
)

// Find returns the card with a name: its ID, its name or another usual name,
// or the unique beginning of one, with case, spaces, hyphens and underscores
// ignored. Its error is a *fault.Error; the hint names the nearest processes.
func Find(name string) (Card, error) { return data().find(name) }

func (lib *library) find(name string) (Card, error) {
	all := lib.cards
	names := make([][]string, len(all))
	for i, c := range all {
		names[i] = append([]string{c.ID, c.Name, c.FullName}, c.Aliases...)
	}
	i, err := lookup("process", name, names, "'actinic process list' shows all processes")
	if err != nil {
		return Card{}, err
	}
	return all[i], nil
}

// lookup returns the index of the entry that name means. names[i][0] is the ID
// of entry i. An exact name wins over a beginning.
func lookup(what, name string, names [][]string, seeAll string) (int, error) {
	want := plain(name)
	if want == "" {
		return 0, fault.New("", what+" name", "an empty name was given", seeAll)
	}
	hits := entries(names, func(n string) bool { return n == want })
	if len(hits) == 0 {
		hits = entries(names, func(n string) bool { return strings.HasPrefix(n, want) })
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
		hint := seeAll
		if near := nearest(want, names); len(near) > 0 {
			hint = "did you mean " + either(near) + "? " + seeAll
		}
		return 0, fault.New("", what+" "+quote(name), "no "+what+" has this name", hint)
	}
	ids := make([]string, len(hits))
	for i, h := range hits {
		ids[i] = names[h][0]
	}
	return 0, fault.New("", what+" "+quote(name), fmt.Sprintf("the name fits %d: %s", len(ids), strings.Join(ids, ", ")),
		"give "+either(ids))
}

// entries returns the indices of the entries with a name that fits.
func entries(names [][]string, fits func(string) bool) []int {
	var found []int
	for i, list := range names {
		if slices.ContainsFunc(list, func(n string) bool { return fits(plain(n)) }) {
			found = append(found, i)
		}
	}
	return found
}

// plain reduces a name to its letters and digits in lower case.
func plain(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, name)
}

// nearest returns the IDs of the entries closest to want by spelling, three at
// most, none that differs in more than half of want's letters.
func nearest(want string, names [][]string) []string {
	letters := []rune(want)
	letters = letters[:min(len(letters), maxQuoted)] // a pasted page stays cheap
	order := make([]int, len(names))
	distance := make([]int, len(names))
	for i, list := range names {
		order[i] = i
		distance[i] = closest(letters, list)
	}
	slices.SortStableFunc(order, func(a, b int) int { return distance[a] - distance[b] })
	ids := make([]string, 0, 3)
	for _, i := range order[:min(3, len(order))] {
		if 2*distance[i] <= len(letters) {
			ids = append(ids, names[i][0])
		}
	}
	return ids
}

// closest returns the smallest edit distance from want to any of the names or
// to a beginning of one as long as want.
func closest(want []rune, list []string) int {
	best := len(want) + 1
	for _, name := range list {
		n := []rune(plain(name))
		best = min(best, editDistance(want, n), 1+editDistance(want, n[:min(len(n), len(want))]))
	}
	return best
}

// editDistance returns how many insertions, deletions and replacements turn a
// into b (Levenshtein 1966).
func editDistance(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			cost := diagonal
			if a[i] != b[j] {
				cost = 1 + min(diagonal, row[j], row[j+1])
			}
			diagonal, row[j+1] = row[j+1], cost
		}
	}
	return row[len(b)]
}

// maxQuoted bounds how much of a bad name an error repeats.
const maxQuoted = 40

// quote returns name in quotes, cut when it is long, control characters escaped.
func quote(name string) string {
	if r := []rune(name); len(r) > maxQuoted {
		name = string(r[:maxQuoted]) + "..."
	}
	return fmt.Sprintf("%q", name)
}

// either returns "a", "a or b", "a, b or c".
func either(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " or " + list[len(list)-1]
}
