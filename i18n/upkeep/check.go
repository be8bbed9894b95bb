//go:build !js

// Package upkeep keeps the wordings in step: it checks that every language says
// the same things as the source, and merges new or mended messages. Native only.
package upkeep

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"plainleaf/app/fault"
	"plainleaf/i18n"
)

// Check reads the i18n folder in fsys (i18n.Files() for the one built in) and
// collects everything wrong with its wordings, in one language and between
// languages. Parked languages are not looked at. Paths are "i18n/<file>:<id>".
func Check(fsys fs.FS) fault.List {
	c := &checker{fsys: fsys}
	c.allowed = c.side("digits-allowed.json")
	c.notes = c.side("notes.json")
	c.placeholders()

	source := i18n.Source()
	english := c.wording(source)
	c.states(source, english, english)
	unnoted := map[string]bool{}
	for id := range english {
		if word, _, _ := strings.Cut(id, "."); Under(c.notes, id) == "" && !unnoted[word] {
			unnoted[word] = true
			c.Add("WORDING-NOTE-MISSING", "i18n/notes.json:"+word, "no note tells translators where messages under %s stand", word)
		}
	}
	for _, lang := range i18n.Languages()[1:] {
		messages := c.wording(lang)
		for id := range english {
			if m, ok := messages[id]; !ok {
				c.Add("WORDING-MISSING", path(lang.Tag, id), "the message has no %s text", lang.Tag)
			} else {
				c.Append(between(lang, id, english[id], m)...)
			}
		}
		for id := range messages {
			if _, ok := english[id]; !ok {
				c.Add("WORDING-EXTRA", path(lang.Tag, id), "the message is not in %s", source.Tag)
			}
		}
		c.states(lang, english, messages)
	}
	return c.Sorted()
}

type checker struct {
	fault.List
	fsys    fs.FS
	allowed map[string]string
	notes   map[string]string
}

func path(tag, id string) string { return "i18n/" + tag + ".json:" + id }

// read gives the bytes of a file, with a fault if it is not there.
func (c *checker) read(name string) ([]byte, bool) {
	data, err := fs.ReadFile(c.fsys, name)
	if err != nil {
		c.Add("WORDING-FILE", "i18n/"+name, "the file cannot be read: %v", err)
	}
	return data, err == nil
}

// side reads a side file of prefixes and their reasons or notes.
func (c *checker) side(name string) map[string]string {
	m := map[string]string{}
	data, ok := c.read(name)
	if !ok {
		return m
	}
	if err := json.Unmarshal(data, &m); err != nil {
		c.Add("WORDING-JSON", "i18n/"+name, "not an object of strings: %v", err)
	}
	for k, v := range m {
		if strings.TrimSpace(v) == "" {
			c.Add("WORDING-EMPTY", "i18n/"+name+":"+k, "the text is empty")
		}
	}
	return m
}

// Under finds the longest key of m that is id or a whole-word start of it.
func Under(m map[string]string, id string) string {
	for key := id; ; {
		if v, ok := m[key]; ok {
			return v
		}
		i := strings.LastIndexByte(key, '.')
		if i < 0 {
			return ""
		}
		key = key[:i]
	}
}

func (c *checker) placeholders() {
	const name = "placeholders.json"
	data, ok := c.read(name)
	if !ok {
		return
	}
	var known map[string]i18n.Placeholder
	if err := json.Unmarshal(data, &known); err != nil {
		c.Add("WORDING-JSON", "i18n/"+name, "%v", err)
	}
	for n, p := range known {
		if i18n.PlaceholdersIn("{{."+n+"}}") == nil {
			c.Add("WORDING-PLACEHOLDER-NAME", "i18n/"+name+":"+n, "a name is letters and digits and starts with a capital")
		}
		if !slices.Contains(i18n.Kinds, p.Kind) {
			c.Add("WORDING-PLACEHOLDER-KIND", "i18n/"+name+":"+n, "%q is not one of %s", p.Kind, strings.Join(i18n.Kinds, ", "))
		}
		if p.Note == "" {
			c.Add("WORDING-EMPTY", "i18n/"+name+":"+n, "a note tells translators what will stand there")
		}
	}
}

func (c *checker) wording(lang i18n.Language) map[string]i18n.Message {
	data, ok := c.read(lang.Tag + ".json")
	if !ok {
		return nil
	}
	messages, faults := lang.Parse("i18n/"+lang.Tag+".json", data)
	c.Append(faults...)
	for id, m := range messages {
		c.Append(c.prose(lang, id, m)...)
	}
	return messages
}

func (c *checker) prose(lang i18n.Language, id string, m i18n.Message) fault.List {
	return prose(lang, id, m, Under(c.allowed, id) != "")
}

var placeholder = regexp.MustCompile(`\{\{\.[A-Za-z0-9]+\}\}`)

// prose checks how one message is written: what no reader should see, and what
// belongs into a value instead of the text.
func prose(lang i18n.Language, id string, m i18n.Message, digitsAllowed bool) fault.List {
	var faults fault.List
	own := m.Placeholders()
	for _, category := range i18n.Categories {
		text := m.Form(category)
		if text == "" {
			continue
		}
		add := func(code, format string, a ...any) {
			if m.Plural() {
				format = "form " + category + ": " + format
			}
			faults.Add(code, path(lang.Tag, id), format, a...)
		}
		if strings.TrimFunc(text, unicode.IsSpace) != text {
			add("WORDING-SPACE", "space at the start or end")
		}
		space := false
		for _, r := range text {
			if unicode.IsSpace(r) && space {
				add("WORDING-SPACE", "two spaces together")
				break
			}
			space = unicode.IsSpace(r)
		}
		if !norm.NFC.IsNormalString(text) {
			add("WORDING-NFC", "the text is not in Unicode normal form C")
		}
		bare := placeholder.ReplaceAllString(text, "")
		if !digitsAllowed && strings.ContainsFunc(bare, unicode.IsDigit) {
			add("WORDING-DIGITS", "a number typed into the text: use a placeholder, or give a reason in digits-allowed.json")
		}
		faults.Append(formLoss(lang, id, category, own, m)...)
	}
	return faults
}

// formLoss reports a form that leaves out a value another form has.
func formLoss(lang i18n.Language, id, category string, own []string, m i18n.Message) fault.List {
	if !m.Plural() {
		return nil
	}
	whole := i18n.Message{}
	for _, n := range own {
		whole.Other += "{{." + n + "}}"
	}
	var faults fault.List
	for _, f := range lang.SamePlaceholders(path(lang.Tag, id), whole, m) {
		if strings.HasPrefix(f.Text, "form "+category+":") {
			faults.Append(f)
		}
	}
	return faults
}

// between compares a translation with its source.
func between(lang i18n.Language, id string, source, m i18n.Message) fault.List {
	var faults fault.List
	where := path(lang.Tag, id)
	if source.Plural() != m.Plural() && len(lang.Plurals()) > 1 {
		if source.Plural() {
			faults.Add("WORDING-FORM-MISSING", where, "the source has plural forms")
		} else {
			faults.Add("WORDING-FORM-UNKNOWN", where, "the source has no plural forms")
		}
		return faults
	}
	for _, f := range lang.SamePlaceholders(where, source, m) {
		// A form that lost a value of its own message is reported by prose.
		if f.Code == "WORDING-PLACEHOLDER-EXTRA" || !slices.Contains(m.Placeholders(), lostName(f)) {
			faults.Append(f)
		}
	}
	if want, got := numbers(source.Other), numbers(m.Other); !slices.Equal(want, got) {
		faults.Add("WORDING-DIGITS-DIFFER", where, "numbers in the text are %v, in the source %v", got, want)
	}
	// Punctuation that is left of a message of values is the same everywhere.
	words := 0
	for _, w := range strings.Fields(placeholder.ReplaceAllString(source.Other, "")) {
		if strings.ContainsFunc(w, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
			words++
		}
	}
	if words >= 3 && source.Other == m.Other {
		faults.Add("WORDING-UNTRANSLATED", where, "the text is the source's")
	}
	return faults
}

var lost = regexp.MustCompile(`\{\{\.([A-Za-z0-9]+)\}\} is missing$`)

func lostName(f fault.Fault) string {
	if m := lost.FindStringSubmatch(f.Text); m != nil {
		return m[1]
	}
	return ""
}

// numbers lists the runs of digits typed into a text, sorted, in Latin digits.
func numbers(text string) []string {
	text = strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) && r > 0x7f {
			for zero := r; ; zero-- { // digits of a script are ten in a row
				if !unicode.IsDigit(zero-1) || r-zero == 9 {
					return '0' + r - zero
				}
			}
		}
		return r
	}, placeholder.ReplaceAllString(text, " "))
	found := strings.FieldsFunc(text, func(r rune) bool { return r < '0' || r > '9' })
	slices.Sort(found)
	return found
}

var role = regexp.MustCompile(`^[a-z]+([ -][a-z]+){0,3}$`)

func (c *checker) states(lang i18n.Language, english, messages map[string]i18n.Message) {
	name := "state/" + lang.Tag + ".json"
	data, ok := c.read(name)
	if !ok {
		return
	}
	states, err := i18n.ParseStates(data)
	if err != nil {
		c.Add("WORDING-JSON", "i18n/"+name, "%v", err)
		return
	}
	for _, id := range slices.Sorted(maps.Keys(messages)) {
		where := "i18n/" + name + ":" + id
		s, ok := states[id]
		if !ok {
			c.Add("WORDING-STATE-MISSING", where, "the message has no review state")
			continue
		}
		if !slices.Contains(i18n.ReviewStates, s.State) {
			c.Add("WORDING-STATE", where, "%q is not one of %s", s.State, strings.Join(i18n.ReviewStates, ", "))
		}
		if source, ok := english[id]; ok && s.SourceHash != i18n.Hash(source) {
			c.Add("WORDING-STALE", where, "the source changed after this text was made")
		}
		if !role.MatchString(s.Who) {
			c.Add("WORDING-STATE", where, "who is a role in lower case, such as translator")
		}
		if _, err := time.Parse(time.DateOnly, s.When); err != nil {
			c.Add("WORDING-STATE", where, "when is a date such as 2026-11-25")
		}
	}
	for id := range states {
		if _, ok := messages[id]; !ok {
			c.Add("WORDING-STATE-EXTRA", "i18n/"+name+":"+id, "there is no such message")
		}
	}
}

// Format writes messages sorted by id, one on a line, so that two people's
// changes meet in a merge only where they touch the same message.
func Format(messages map[string]i18n.Message) []byte {
	lines := make([]string, 0, len(messages))
	for _, id := range slices.Sorted(maps.Keys(messages)) {
		m := messages[id]
		value := quote(m.Other)
		if m.Plural() {
			var forms []string
			for _, c := range i18n.Categories {
				if t := m.Form(c); t != "" {
					forms = append(forms, quote(c)+": "+quote(t))
				}
			}
			value = "{" + strings.Join(forms, ", ") + "}"
		}
		lines = append(lines, "  "+quote(id)+": "+value)
	}
	return object(lines)
}

func formatStates(states map[string]i18n.State) []byte {
	lines := make([]string, 0, len(states))
	for _, id := range slices.Sorted(maps.Keys(states)) {
		s := states[id]
		lines = append(lines, fmt.Sprintf(`  %s: {"state": %s, "source_hash": %s, "who": %s, "when": %s}`,
			quote(id), quote(s.State), quote(s.SourceHash), quote(s.Who), quote(s.When)))
	}
	return object(lines)
}

func object(lines []string) []byte {
	if len(lines) == 0 {
		return []byte("{}\n")
	}
	return []byte("{\n" + strings.Join(lines, ",\n") + "\n}\n")
}

// quote writes a JSON string with its letters as they are.
func quote(s string) string {
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil { // a string always encodes
		panic(err)
	}
	return strings.TrimSuffix(b.String(), "\n")
}
