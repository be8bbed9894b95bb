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

	"plainleaf/app/fault"
	"plainleaf/i18n"
	"plainleaf/i18n/vet"
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
	c.Append(vet.Messages(source, nil, english, c.allowed)...)
	c.Append(counted(english)...)
	c.states(source, english, english)
	unnoted := map[string]bool{}
	for id := range english {
		if word, _, _ := strings.Cut(id, "."); vet.Under(c.notes, id) == "" && !unnoted[word] {
			unnoted[word] = true
			c.Add("WORDING-NOTE-MISSING", "i18n/notes.json:"+word, "no note tells translators where messages under %s stand", word)
		}
	}
	for _, lang := range i18n.Languages()[1:] {
		messages := c.wording(lang)
		for id := range english {
			if _, ok := messages[id]; !ok {
				c.Add("WORDING-MISSING", vet.Path(lang.Tag, id), "the message has no %s text", lang.Tag)
			}
		}
		c.Append(vet.Messages(lang, english, messages, c.allowed)...)
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
	return messages
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
