package batch

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"actinic/process/fault"
)

// collision is a pair of pictures whose films cannot both be.
type collision struct{ first, second Task }

// mostPairs is how many collisions one message lists.
const mostPairs = 10

// checkCollisions refuses pictures with one output, and a film in the place of a
// folder that other films need.
func checkCollisions(tasks []Task) error {
	pairs := collisions(tasks)
	switch len(pairs) {
	case 0:
		return nil
	case 1:
		p := pairs[0]
		return fault.New(p.second.In, "", fmt.Sprintf("its film would be %s, and %s", p.second.Out, p.otherFilm()),
			"rename one of them, or make them one at a time")
	}
	var films []string
	for _, p := range pairs[:min(len(pairs), mostPairs)] {
		films = append(films, fmt.Sprintf("%s and %s (%s)", p.first.In, p.second.In, p.second.Out))
	}
	if more := len(pairs) - mostPairs; more > 0 {
		films = append(films, fmt.Sprintf("and %d more", more))
	}
	text := fmt.Sprintf("%d pairs of pictures would have one film each: %s", len(pairs), strings.Join(films, "; "))
	return fault.New("", "", text, "rename one of each pair, or make them into another folder")
}

// otherFilm says what the film of the first picture would be.
func (p collision) otherFilm() string {
	if foldName(p.first.Out) == foldName(p.second.Out) {
		return "so would that of " + p.first.In
	}
	return p.first.In + " needs a folder of that name"
}

// collisions finds them in the order of the tasks. Refused tasks write nothing.
func collisions(tasks []Task) []collision {
	films := make(map[string]int, len(tasks))
	var pairs []collision
	for i, t := range tasks {
		if t.Refused != nil {
			continue
		}
		key := foldName(t.Out)
		if other, taken := films[key]; taken {
			pairs = append(pairs, collision{tasks[other], t})
			continue
		}
		films[key] = i
	}
	return append(pairs, foldersTaken(tasks, films)...)
}

// foldersTaken finds films that lie where another film's folder must be.
func foldersTaken(tasks []Task, films map[string]int) []collision {
	var pairs []collision
	seen := map[string]bool{}
	for _, t := range tasks {
		if t.Refused != nil {
			continue
		}
		for dir := filepath.Dir(foldName(t.Out)); !seen[dir]; dir = filepath.Dir(dir) {
			seen[dir] = true
			if film, taken := films[dir]; taken {
				pairs = append(pairs, collision{t, tasks[film]})
			}
		}
	}
	return pairs
}

// foldName returns a name in which those are equal that differ in capitals only:
// many disks take them for one. Names that are no UTF-8 are folded in their
// ASCII letters, so that different ones stay different.
func foldName(name string) string {
	name = filepath.Clean(name)
	if utf8.ValidString(name) {
		return strings.ToLower(strings.ToUpper(name))
	}
	folded := []byte(name)
	for i, b := range folded {
		if 'A' <= b && b <= 'Z' {
			folded[i] = b + 'a' - 'A'
		}
	}
	return string(folded)
}
