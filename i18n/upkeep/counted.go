//go:build !js

package upkeep

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"plainleaf/app/fault"
	"plainleaf/i18n"
	"plainleaf/i18n/vet"
)

// oneForm are words of the source that may follow a number in any message, since no
// language changes them, or what they lead to, with that number.
var oneForm = map[string]string{
	"mm": "a symbol", "µm": "a symbol", "ppm": "a symbol",
	"percent": "has the sign %, which a translator may write instead",
	"of":      "so many of all: what follows has a number of its own",
	"to":      "the end of a range follows",
	"or":      "or more: no noun follows",
	"for":     "a count by itself", "from": "a count by itself",
	"a":  "so many a year: the noun is another's",
	"is": "the number itself is meant",
}

// afterNumber finds a value and the word behind it.
var afterNumber = regexp.MustCompile(`\{\{\.([A-Za-z0-9]+)\}\} ([\pL\pN’'-]+)`)

// counted reports numbers before a noun that cannot change with them: in a plain message,
// or in a plural one whose forms are picked by another number. English has two forms and
// hides what Polish or Arabic, with four and six, cannot say.
func counted(messages map[string]i18n.Message) fault.List {
	var faults fault.List
	for _, id := range slices.Sorted(maps.Keys(messages)) {
		m := messages[id]
		for _, found := range afterNumber.FindAllStringSubmatch(m.Other, -1) {
			name, word := found[1], found[2]
			p, _ := i18n.LookupPlaceholder(name)
			if p.Kind != "count" && p.Kind != "number" || m.Plural() && name == picks {
				continue
			}
			if _, fine := oneForm[strings.ToLower(word)]; !fine {
				faults.Add("WORDING-COUNT", vet.Path(i18n.Source().Tag, id), "{{.%s}} stands before %q, whose form may follow the number: make it the %s of plural forms, or put both in as Quantity", name, word, picks)
			}
		}
	}
	return faults
}

// picks is the value that picks the plural form of a message.
const picks = "Count"
