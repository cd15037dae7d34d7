package recipe

import "encoding/json"

// Kind says how far a source can be trusted.
type Kind string

// The kinds of source.
const (
	Published    Kind = "published"    // an excerpt of a publication was read
	Practitioner Kind = "practitioner" // a practitioner's page or list post: common practice, never a standard
	Memory       Kind = "memory"       // common practice, from memory
	Own          Kind = "own"          // the user's own recipe file
)

// Source is where a figure or a statement comes from.
type Source struct {
	Key      string `json:"key"`
	Kind     Kind   `json:"kind"`
	Citation string `json:"citation"`
}

// Label returns the source as a user reads it. A practitioner's page is marked
// as one, so that nobody takes it for a standard.
func (s Source) Label() string {
	if s.Kind == Practitioner {
		return "practitioners' pages: " + s.Citation
	}
	return s.Citation
}

// UnmarshalJSON accepts the bare key that data files hold as well as the full
// object that MarshalJSON's default writes; loading fills in the rest.
func (s *Source) UnmarshalJSON(text []byte) error {
	if len(text) > 0 && text[0] == '"' {
		*s = Source{}
		return json.Unmarshal(text, &s.Key)
	}
	type plain Source
	return json.Unmarshal(text, (*plain)(s))
}

// Statement is a sentence or two for the user, with its sources.
type Statement struct {
	Text    string   `json:"text"`
	Sources []Source `json:"sources"`
}
