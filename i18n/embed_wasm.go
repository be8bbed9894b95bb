//go:build js

package i18n

import _ "embed"

//go:embed en.json
var english []byte

//go:embed state/en.json
var englishState []byte

// Embedded gives the wording file of a language. The browser build carries the
// source language only and fetches the others.
func Embedded(tag string) ([]byte, bool) {
	if tag != "en" {
		return nil, false
	}
	return english, true
}

// EmbeddedState gives the review states of a language, likewise.
func EmbeddedState(tag string) ([]byte, bool) {
	if tag != "en" {
		return nil, false
	}
	return englishState, true
}
