package main

import (
	"regexp"
	"strings"
)

// width is what may follow '--edge opaque' as a word of its own.
var width = regexp.MustCompile(`^[0-9]+([.,][0-9]+)?(mm)?$`)

// joinTwoWords lets the two flags whose value is two words be written so, as
// '--edge opaque 10' and '--aim match FILE', which the flag library would take
// for a value and an input. Everything else stays as it is.
func joinTwoWords(args []string) []string {
	out := make([]string, 0, len(args))
	for i := 0; i < len(args); i++ {
		if args[i] == "--" {
			return append(out, args[i:]...)
		}
		flag, value, joined := strings.Cut(args[i], "=")
		at := i
		if !joined && i+1 < len(args) {
			value, at = args[i+1], i+1
		}
		if at+1 < len(args) && takesSecond(flag, value, args[at+1]) {
			out = append(out, flag+"="+value+":"+args[at+1])
			i = at + 1
			continue
		}
		out = append(out, args[i])
	}
	return out
}

// takesSecond says whether next is the second word of a flag's value.
func takesSecond(flag, value, next string) bool {
	switch {
	case flag == "--aim" && value == "match":
		return !strings.HasPrefix(next, "-")
	case flag == "--edge" && (value == "clear" || value == "keyline" || value == "opaque"):
		return width.MatchString(next)
	}
	return false
}
