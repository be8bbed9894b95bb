//go:build !js

package shell

import (
	"embed"
	"encoding/json"
	"fmt"
)

//go:embed words
var words embed.FS

// Text answers a message id in a language.
func Text(tag, id string) (string, error) {
	b, err := words.ReadFile("words/" + tag + ".json")
	if err != nil {
		return "", err
	}
	var m map[string]string
	if err := json.Unmarshal(b, &m); err != nil {
		return "", err
	}
	s, ok := m[id]
	if !ok {
		return "", fmt.Errorf("no message %s", id)
	}
	return s, nil
}
