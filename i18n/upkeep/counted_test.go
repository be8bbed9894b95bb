//go:build !js

package upkeep

import (
	"testing"

	"plainleaf/i18n"
)

// A number before a noun is the count of a plural message, or comes with its noun.
func TestCounted(t *testing.T) {
	for _, c := range []struct {
		name  string
		m     i18n.Message
		wrong int
	}{
		{"a plain message", i18n.Message{Other: "Wait {{.Range}} days."}, 1},
		{"two in a plain message", i18n.Message{Other: "{{.Number}} teeth in {{.Count}} visits"}, 2},
		{"a second number in a plural message", i18n.Message{One: "{{.Total}} teeth in {{.Count}} year", Other: "{{.Total}} teeth in {{.Count}} years"}, 1},
		{"a plural message", i18n.Message{One: "{{.Count}} day", Other: "{{.Count}} days"}, 0},
		{"a number with its noun", i18n.Message{One: "{{.Quantity}} in {{.Count}} year", Other: "{{.Quantity}} in {{.Count}} years"}, 0},
		{"a symbol", i18n.Message{Other: "{{.Range}} mm at most"}, 0},
		{"so many of all", i18n.Message{Other: "about {{.Number}} of every {{.Quantity}}"}, 0},
		{"no number", i18n.Message{Other: "{{.Text}} days"}, 0},
		{"a number at the end", i18n.Message{Other: "version {{.Number}}."}, 0},
	} {
		if got := counted(map[string]i18n.Message{"t.x": c.m}); len(got) != c.wrong {
			t.Errorf("%s: %d faults, want %d: %s", c.name, len(got), c.wrong, got.Lines())
		}
	}
	// Every exception is met in the wordings.
	met := map[string]bool{}
	data, _ := i18n.Embedded(i18n.Source().Tag)
	messages, _ := i18n.Source().Parse("en.json", data)
	for _, m := range messages {
		for _, found := range afterNumber.FindAllStringSubmatch(m.Other, -1) {
			met[found[2]] = true
		}
	}
	for word := range oneForm {
		if !met[word] {
			t.Errorf("%q follows no number", word)
		}
	}
}
