//go:build !js

package i18n

import (
	"embed"
	"io/fs"
)

//go:embed *.json state/*.json
var files embed.FS

// Embedded gives the wording file of a language, of a parked one too: translators
// work on from it. Load makes no wording of that.
func Embedded(tag string) ([]byte, bool) {
	if _, ok := Known(tag); !ok {
		return nil, false
	}
	data, err := files.ReadFile(tag + ".json")
	return data, err == nil
}

// EmbeddedState gives the review states of a language.
func EmbeddedState(tag string) ([]byte, bool) {
	if _, ok := Known(tag); !ok {
		return nil, false
	}
	data, err := files.ReadFile("state/" + tag + ".json")
	return data, err == nil
}

// Files is everything this folder embeds, for checks. Native only.
func Files() fs.FS { return files }
