package delimited

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// ParseNumber returns the finite number in text, which may have a decimal comma.
// The error says what was found instead, without place or expectation. Hexadecimal
// numbers and thousands separators are refused: nobody types the first and nobody
// can tell the second from a decimal sign.
func ParseNumber(text string) (float64, error) {
	switch strings.ToLower(strings.TrimLeft(text, "+-")) {
	case "":
		return 0, errors.New(foundText(text))
	case "nan", "inf", "infinity":
		return 0, fmt.Errorf("found %s, which is no measured number", text)
	}
	if strings.Trim(text, "0123456789+-.,eE") != "" {
		return 0, errors.New(foundText(text))
	}
	if strings.Count(text, ",")+strings.Count(text, ".") > 1 {
		return 0, fmt.Errorf("found %q with more than one decimal sign", text)
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if errors.Is(err, strconv.ErrRange) {
		return 0, fmt.Errorf("found %q, too large for a number", text)
	}
	if err != nil {
		return 0, errors.New(foundText(text))
	}
	return v, nil
}

func foundText(text string) string {
	if text == "" {
		return "empty"
	}
	return fmt.Sprintf("found %q", text)
}

// FormatNumber returns the shortest text that ParseNumber reads back to exactly
// v, which must be finite.
func FormatNumber(v float64) string {
	if a := max(v, -v); a != 0 && (a < 1e-6 || a >= 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
