package i18n

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Message is the raw text of one message: Other alone for a plain sentence, the
// language's CLDR plural categories for one that depends on a count.
type Message struct{ Zero, One, Two, Few, Many, Other string }

// Categories lists the CLDR plural categories in CLDR's order.
var Categories = []string{"zero", "one", "two", "few", "many", "other"}

func (m *Message) form(category string) *string {
	switch category {
	case "zero":
		return &m.Zero
	case "one":
		return &m.One
	case "two":
		return &m.Two
	case "few":
		return &m.Few
	case "many":
		return &m.Many
	case "other":
		return &m.Other
	}
	return nil
}

// Form gives the text of a plural category, "" where there is none.
func (m Message) Form(category string) string {
	if p := m.form(category); p != nil {
		return *p
	}
	return ""
}

// WithForm gives the message with one form replaced.
func (m Message) WithForm(category, text string) Message {
	if p := m.form(category); p != nil {
		*p = text
	}
	return m
}

// Plural reports whether the message has forms beyond Other.
func (m Message) Plural() bool {
	return m.Zero != "" || m.One != "" || m.Two != "" || m.Few != "" || m.Many != ""
}

// Hash gives 16 hex digits that change with any change of the text: the start of
// the SHA-256 of each non-empty form as a line "category=text", in CLDR's order.
func Hash(m Message) string {
	var b strings.Builder
	for _, c := range Categories {
		if t := m.Form(c); t != "" {
			b.WriteString(c + "=" + t + "\n")
		}
	}
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:8])
}

//go:embed placeholders.json
var placeholdersJSON []byte

// Placeholder is a name a message may carry as {{.Name}}.
type Placeholder struct {
	// Kind is count, number, date, money, list, code, name or text. A form for
	// exactly one count ("one tooth") may leave a count out.
	Kind string `json:"kind"`
	// Note tells a translator what will stand there.
	Note string `json:"note"`
}

// Kinds lists the kinds of placeholder.
var Kinds = []string{"code", "count", "date", "list", "money", "name", "number", "text"}

var knownPlaceholders = sync.OnceValue(func() map[string]Placeholder {
	var m map[string]Placeholder
	if err := json.Unmarshal(placeholdersJSON, &m); err != nil {
		panic(fmt.Sprintf("i18n: placeholders.json: %v", err))
	}
	return m
})

//go:embed digits-allowed.json
var digitsJSON []byte

// DigitsAllowed gives the reasons for digits typed into messages, by id or start of ids.
var DigitsAllowed = sync.OnceValue(func() map[string]string {
	var m map[string]string
	if err := json.Unmarshal(digitsJSON, &m); err != nil {
		panic(fmt.Sprintf("i18n: digits-allowed.json: %v", err))
	}
	return m
})

// LookupPlaceholder finds a known placeholder by its name.
func LookupPlaceholder(name string) (Placeholder, bool) {
	p, ok := knownPlaceholders()[name]
	return p, ok
}

// PlaceholdersIn lists the names in one text, in order and each once. The text
// must have passed the checks of Load; anything else in braces is not listed.
func PlaceholdersIn(text string) []string {
	var names []string
	for {
		i := strings.Index(text, "{{.")
		if i < 0 {
			return names
		}
		text = text[i+3:]
		j := strings.Index(text, "}}")
		if j < 0 {
			return names
		}
		if name := text[:j]; isName(name) && !slices.Contains(names, name) {
			names = append(names, name)
		}
		text = text[j+2:]
	}
}

// Placeholders lists the names of all forms, sorted.
func (m Message) Placeholders() []string {
	var names []string
	for _, c := range Categories {
		for _, n := range PlaceholdersIn(m.Form(c)) {
			if !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	slices.Sort(names)
	return names
}

// isName reports whether s is a placeholder name: ASCII letters and digits,
// starting with a capital.
func isName(s string) bool {
	if s == "" || len(s) > 32 || s[0] < 'A' || s[0] > 'Z' {
		return false
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		if !(c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9') {
			return false
		}
	}
	return true
}
