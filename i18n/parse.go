package i18n

import (
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/app/strict"
)

const (
	// MaxFile is the most bytes a wording file may have.
	MaxFile = strict.MaxBytes
	// MaxID is the most bytes a message id may have.
	MaxID = 96
)

// Parse reads a wording file of the language strictly: one JSON object whose
// keys are dotted ids and whose values are strings or objects of the language's
// plural categories. Every fault is collected, with a path such as
// "i18n/es.json:sheet.consent.title"; name is the part before the colon. The
// messages that had no fault are returned beside them.
func (l Language) Parse(name string, data []byte) (map[string]Message, fault.List) {
	p := &parser{lang: l, name: name}
	return p.file(data), p.faults
}

type parser struct {
	lang   Language
	name   string
	faults fault.List
}

func (p *parser) add(code, id, format string, a ...any) {
	path := p.name
	if id != "" {
		path += ":" + id
	}
	p.faults.Add(code, path, format, a...)
}

// codes are those of a wording file for what strict finds in it. What is not listed,
// such as a control character, is found again in the messages and named there.
var codes = map[string]string{
	"JSON-SIZE": "WORDING-SIZE", "JSON-BOM": "WORDING-BOM", "JSON-UTF8": "WORDING-UTF8", "JSON-DEPTH": "WORDING-TYPE",
	"JSON-SYNTAX": "WORDING-JSON", "JSON-TRUNCATED": "WORDING-JSON", "JSON-TRAILING": "WORDING-JSON", "JSON-TYPE": "WORDING-JSON",
	"JSON-MORE": "WORDING-JSON", "JSON-DUPLICATE-KEY": "WORDING-TWICE",
}

func (p *parser) file(data []byte) map[string]Message {
	var entries map[string]any
	faults, ok := strict.Decode(data, &entries)
	wrong := map[string]bool{} // paths in the file
	for _, f := range faults {
		wrong[f.Path] = true
		if code := codes[f.Code]; code != "" {
			p.add(code, strings.TrimPrefix(f.Path, "$"), "%s", f.Text)
		}
	}
	if !ok || faults.Has("JSON-MORE") {
		return nil
	}
	messages := make(map[string]Message, len(entries))
	for _, id := range slices.Sorted(maps.Keys(entries)) {
		m, ok := p.value(id, entries[id])
		if !ok || !p.message(id, m) {
			continue
		}
		at := strict.At("", id)
		if !wrong[at] && !slices.ContainsFunc(m.forms, func(c string) bool { return wrong[strict.At(at, c)] }) {
			messages[id] = m.Message
		}
	}
	return messages
}

// raw is a message as the file has it: written as an object or as a string.
type raw struct {
	Message
	object bool
	forms  []string // categories present, also empty ones
}

func (p *parser) value(id string, v any) (raw, bool) {
	if text, ok := v.(string); ok {
		return raw{Message: Message{Other: text}, forms: []string{"other"}}, true
	}
	forms, ok := v.(map[string]any)
	if !ok {
		p.add("WORDING-TYPE", id, "a message is a string or an object of plural forms")
		return raw{}, false
	}
	m, good := raw{object: true}, true
	for _, category := range slices.Sorted(maps.Keys(forms)) {
		text, ok := forms[category].(string)
		switch {
		case !ok:
			p.add("WORDING-TYPE", id, "form %s is not a string", safetext.Quote(category))
			good = false
		case !slices.Contains(Categories, category):
			p.add("WORDING-FORM-UNKNOWN", id, "%s is no plural category", safetext.Quote(category))
			good = false
		case !slices.Contains(p.lang.data.Plurals, category):
			p.add("WORDING-FORM-UNKNOWN", id, "%s has no plural category %q", p.lang.Tag, category)
			good = false
		default:
			m.forms = append(m.forms, category)
			m.Message = m.WithForm(category, text)
		}
	}
	return m, good
}

// message checks one message and reports whether it had no fault.
func (p *parser) message(id string, m raw) bool {
	before := len(p.faults)
	if !isID(id) {
		p.add("WORDING-ID", id, "an id is lower-case words joined by dots and hyphens, at most %d bytes", MaxID)
	}
	if m.object {
		for _, c := range p.lang.data.Plurals {
			if !slices.Contains(m.forms, c) {
				p.add("WORDING-FORM-MISSING", id, "plural form %q is missing", c)
			}
		}
	}
	for _, c := range m.forms {
		p.text(id, c, m.Form(c), m.object)
	}
	return len(p.faults) == before
}

// text refuses whatever could be run by the template engine, read as markup,
// reorder what stands around it, or hide from a reader.
func (p *parser) text(id, category, s string, plural bool) {
	add := func(code, format string, a ...any) {
		if plural {
			format = "form " + category + ": " + format
		}
		p.add(code, id, format, a...)
	}
	if strings.TrimSpace(s) == "" {
		add("WORDING-EMPTY", "the text is empty")
		return
	}
	if n := utf8.RuneCountInString(s); n > safetext.MaxWording {
		add("WORDING-LONG", "the text has %d characters, more than %d", n, safetext.MaxWording)
		return
	}
	for _, t := range templateFaults(s) {
		add(t.Code, "%s", t.Text)
	}
	var reported []string
	for i, r := range s {
		code, text := hidden(r)
		if r == '&' && isEntity(s[i:]) {
			code, text = "WORDING-MARKUP", "a character reference"
		}
		if code != "" && !slices.Contains(reported, code) {
			reported = append(reported, code)
			add(code, "%s (U+%04X)", text, r)
		}
	}
}

// hidden returns what is wrong with a character, if anything.
func hidden(r rune) (code, text string) {
	if r == '<' || r == '>' {
		return "WORDING-MARKUP", "markup"
	}
	switch safetext.Of(r) {
	case safetext.Embedding, safetext.Isolate, safetext.Mark:
		return "WORDING-BIDI", "a direction control; inserted values are isolated when printed"
	case safetext.Break, safetext.Control, safetext.Invisible:
		return "WORDING-CONTROL", "a control or invisible character"
	case safetext.Private:
		return "WORDING-PRIVATE", "a private-use character or no character"
	case safetext.Broken:
		return "WORDING-UTF8", "a replacement character, the mark of broken text"
	}
	return "", ""
}

func isEntity(s string) bool {
	i := strings.IndexByte(s, ';')
	if i < 2 || i > 32 {
		return false
	}
	for _, c := range s[1:i] {
		if !(c == '#' || c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z') {
			return false
		}
	}
	return true
}

// templateFaults reads braces without the template engine: all that passes is
// {{.Name}} with a known name, which the engine can only replace by its value.
func templateFaults(s string) fault.List {
	var l fault.List
	for {
		i := strings.IndexAny(s, "{}")
		if i < 0 {
			return l
		}
		if !strings.HasPrefix(s[i:], "{{") {
			l.Add("WORDING-BRACE", "", "a brace that belongs to no placeholder")
			return l
		}
		s = s[i+2:]
		j := strings.Index(s, "}}")
		if j < 0 {
			l.Add("WORDING-BRACE", "", "a placeholder that is not closed")
			return l
		}
		inner := s[:j]
		s = s[j+2:]
		name, dotted := strings.CutPrefix(inner, ".")
		if !dotted || !isName(name) {
			l.Add("WORDING-TEMPLATE", "", "%s is not a placeholder: only {{.Name}} is", safetext.Quote(inner))
		} else if _, known := LookupPlaceholder(name); !known {
			l.Add("WORDING-PLACEHOLDER-UNKNOWN", "", "placeholder %s is not in placeholders.json", name)
		}
	}
}

// isID reports whether s is a message id: words of lower-case letters, digits
// and hyphens, two or more, joined by dots.
func isID(s string) bool {
	if len(s) > MaxID || !strings.Contains(s, ".") {
		return false
	}
	for _, word := range strings.Split(s, ".") {
		if word == "" || word[0] == '-' || word[len(word)-1] == '-' {
			return false
		}
		for i := 0; i < len(word); i++ {
			if c := word[i]; !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-') {
				return false
			}
		}
	}
	return true
}
