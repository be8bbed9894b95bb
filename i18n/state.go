package i18n

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
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

// Stale lists the embedded messages of a language whose English source changed
// after they were made, is gone, or is not noted, in order. A message the language
// lacks is missing, not stale.
func Stale(tag string) []string {
	lang, ok := Lookup(tag)
	if !ok {
		return nil
	}
	source, own := embeddedMessages(Source()), embeddedMessages(lang)
	states := States(tag)
	var stale []string
	for _, id := range slices.Sorted(maps.Keys(own)) {
		if m, ok := source[id]; !ok || states[id].SourceHash != Hash(m) {
			stale = append(stale, id)
		}
	}
	return stale
}

func embeddedMessages(l Language) map[string]Message {
	data, ok := Embedded(l.Tag)
	if !ok {
		return nil
	}
	messages, _ := l.Parse("i18n/"+l.Tag+".json", data)
	return messages
}
