package i18n

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// The review states, those of XLIFF 2.1 segments, in order.
const (
	Initial    = "initial"
	Translated = "translated"
	Reviewed   = "reviewed"
	Final      = "final"
)

// ReviewStates lists the review states from lowest to highest.
var ReviewStates = []string{Initial, Translated, Reviewed, Final}

// State is how far the text of one message in one language has been checked.
type State struct {
	State string `json:"state"`
	// SourceHash is the Hash of the English message the text was made from; a
	// text whose source has changed since is stale, whatever its state.
	SourceHash string `json:"source_hash"`
	// Who is a role ("translator"), never a person.
	Who string `json:"who"`
	// When is the date of the state, YYYY-MM-DD.
	When string `json:"when"`
}

// ParseStates reads a state file, which belongs to the program and is not input.
func ParseStates(data []byte) (map[string]State, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	states := map[string]State{}
	if err := dec.Decode(&states); err != nil {
		return nil, fmt.Errorf("i18n: states: %w", err)
	}
	return states, nil
}

// States gives the embedded review states of a language, nil where the build
// does not carry them.
func States(tag string) map[string]State {
	data, ok := EmbeddedState(tag)
	if !ok {
		return nil
	}
	states, err := ParseStates(data)
	if err != nil {
		return nil
	}
	return states
}
