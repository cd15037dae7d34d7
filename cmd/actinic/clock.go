package main

import (
	"strconv"
	"time"

	"actinic/process/fault"
)

// made returns the time to write into the files of this run, in UTC, to the
// second. SOURCE_DATE_EPOCH, in seconds since 1970, takes the place of the
// clock so that two runs can give the same bytes; a value that is not a whole
// number from 0 up is an error.
//
// Source: reproducible-builds.org, SOURCE_DATE_EPOCH specification 1.1.
func (s *streams) made() (time.Time, error) {
	text := s.env("SOURCE_DATE_EPOCH")
	if text == "" {
		return time.Now().UTC().Truncate(time.Second), nil
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil || seconds < 0 || seconds > lastRFC3339 {
		return time.Time{}, fault.New("", "environment variable SOURCE_DATE_EPOCH",
			"expected whole seconds since 1970, found "+strconv.Quote(text),
			"unset it, or set it as in SOURCE_DATE_EPOCH=1767225600")
	}
	return time.Unix(seconds, 0).UTC(), nil
}

// lastRFC3339 is the last second of the year 9999, in seconds since 1970: an
// RFC 3339 date has four digits for the year.
const lastRFC3339 = 253402300799
