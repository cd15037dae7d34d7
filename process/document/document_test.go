package document

import (
	"strings"
	"testing"
	"time"
)

func TestDecode(t *testing.T) {
	f := Form{Format: "actinic example", Version: 2, Noun: "an example", Command: "actinic example", File: "NAME.example.json", MostMiB: 1}
	for text, want := range map[string]string{
		`{"format":"actinic example","version":1,"a":3}`:                     "",
		`{"format":"actinic example","version":2,"a":3}`:                     "",
		`{"a":3,"version":2,"format":"actinic example"}`:                     "",
		`{"format":"actinic example","version":1,"a":3} {}`:                  "is not an example: ",
		`{"format":"actinic example","version":1,"a":3`:                      "is not an example: ",
		`{"format":"actinic example","version":1,,"a":3}`:                    "is not an example: ",
		`{"format":"actinic example","version":1.5,"a":3}`:                   "line 1, field version: found a number 1.5, expected a whole number",
		`{"format":"actinic example","version":3,"a":3}`:                     "field version: found 3, this program reads 1 to 2",
		`{"format":"actinic example","version":0,"a":3}`:                     "field version: found 0",
		`{"format":"actinic other","version":1,"a":3}`:                       `field format: found "actinic other"`,
		`{"format":"actinic example","version":1,"a":3,"b":1}`:               `line 1: unknown field "b"`,
		"{\"format\":\"actinic example\",\n\"version\":1,\n\"b\":3}":         `line 3: unknown field "b"`,
		"{\"format\":\"actinic example\",\n\"version\":1,\n\"a\":\"x\"}":     "line 3, field a: found a string, expected a whole number",
		"\xef\xbb\xbf{\"format\":\"actinic example\",\"version\":1,\"a\":3}": "",
		`{"format":"actinic example","version":1,"a":"x"}`:                   "line 1, field a: found a string",
		`{"format":"actinic example","version":"x"}`:                         "line 1, field version: found a string, expected a whole number",
		`{"format":"actinic example","version":1,"made":"noon"}`:             "field made: expected a time",
		`{"format":"actinic example","version":1,"made":3}`:                  "field made: expected a time",
		`{"format":"actinic example"`:                                        "is not an example",
		``:                                                                   "is not an example",
		`[]`:                                                                 "is not an example: found an array, expected an object",
		`"text"`:                                                             "is not an example: found a string, expected an object",
		`{"format":"` + strings.Repeat("x", 1<<20) + `"}`:                    "is over 1 MiB, too long for an example",
	} {
		var into struct {
			Format  string    `json:"format"`
			Version int       `json:"version"`
			A       int       `json:"a"`
			Made    time.Time `json:"made"`
		}
		err := f.Decode(strings.NewReader(text), "x.json", &into)
		switch {
		case want == "" && (err != nil || into.A != 3):
			t.Errorf("%.60s: %v, a is %d", text, err, into.A)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "x.json")):
			t.Errorf("%.60s: %v, want %q", text, err, want)
		}
	}
}
