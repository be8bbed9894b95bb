package i18n

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"unicode/utf8"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

const (
	// MaxFile is the most bytes a wording file may have.
	MaxFile = 1 << 20
	// MaxText is the most characters one form of a message may have.
	MaxText = 1200
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

func (p *parser) file(data []byte) map[string]Message {
	switch {
	case len(data) > MaxFile:
		p.add("WORDING-SIZE", "", "the file has %d bytes, more than %d", len(data), MaxFile)
		return nil
	case bytes.HasPrefix(data, []byte("\ufeff")):
		p.add("WORDING-BOM", "", "the file starts with a byte order mark")
		return nil
	case !utf8.Valid(data):
		p.add("WORDING-UTF8", "", "the file is not valid UTF-8")
		return nil
	}
	// The library judges the syntax; after that a plain walk over the bytes is
	// enough, keeps duplicate keys, and is quick in a browser just started.
	var valid json.RawMessage
	if err := json.Unmarshal(data, &valid); err != nil {
		p.add("WORDING-JSON", "", "not JSON: %v", err)
		return nil
	}
	w := &walker{data: data}
	if w.space(); w.data[w.at] != '{' {
		p.add("WORDING-JSON", "", "the file must hold one object")
		return nil
	}
	messages := make(map[string]Message, len(data)/64)
	seen := make(map[string]bool, len(data)/64)
	for id := range w.keys {
		twice := seen[id]
		if twice {
			p.add("WORDING-TWICE", id, "the id is there twice")
		}
		seen[id] = true
		if m, ok := p.value(w, id); ok && p.message(id, m) && !twice {
			messages[id] = m.Message
		}
	}
	return messages
}

// walker steps through bytes that are known to be JSON.
type walker struct {
	data []byte
	at   int
}

func (w *walker) space() {
	for w.at < len(w.data) && strings.IndexByte(" \t\r\n", w.data[w.at]) >= 0 {
		w.at++
	}
}

// keys yields the keys of the object that starts here; each time the value must be
// taken before the next.
func (w *walker) keys(yield func(string) bool) {
	w.at++ // {
	for {
		w.space()
		switch w.data[w.at] {
		case '}':
			w.at++
			return
		case ',':
			w.at++
			w.space()
		}
		key := w.text()
		w.space()
		w.at++ // :
		w.space()
		if !yield(key) {
			return
		}
	}
}

// text takes the string that starts here.
func (w *walker) text() string {
	start, escaped := w.at, false
	for w.at++; w.data[w.at] != '"'; w.at++ {
		if w.data[w.at] == '\\' {
			escaped = true
			w.at++
		}
	}
	w.at++
	if !escaped {
		return string(w.data[start+1 : w.at-1])
	}
	var s string
	if err := json.Unmarshal(w.data[start:w.at], &s); err != nil {
		return "\ufffd" // cannot be: the file is JSON; refused as broken text if it were
	}
	return s
}

// skip takes any value.
func (w *walker) skip() {
	for depth := 0; ; {
		w.space()
		switch w.data[w.at] {
		case '"':
			w.text()
		case '{', '[':
			depth++
			w.at++
		case '}', ']':
			depth--
			w.at++
		case ',', ':':
			w.at++
		default: // a number, true, false or null
			for w.at < len(w.data) && strings.IndexByte(",:]} \t\r\n", w.data[w.at]) < 0 {
				w.at++
			}
		}
		if depth == 0 {
			return
		}
	}
}

// raw is a message as the file has it: written as an object or as a string.
type raw struct {
	Message
	object bool
	forms  []string // categories present, also empty ones
}

var plainForm = []string{"other"}

func (p *parser) value(w *walker, id string) (raw, bool) {
	switch w.data[w.at] {
	case '"':
		return raw{Message: Message{Other: w.text()}, forms: plainForm}, true
	case '{':
	default:
		p.add("WORDING-TYPE", id, "a message is a string or an object of plural forms")
		w.skip()
		return raw{}, false
	}
	m, good := raw{object: true}, true
	for category := range w.keys {
		if w.data[w.at] != '"' {
			p.add("WORDING-TYPE", id, "form %s is not a string", safetext.Quote(category))
			good = false
			w.skip()
			continue
		}
		text := w.text()
		switch {
		case !slices.Contains(Categories, category):
			p.add("WORDING-FORM-UNKNOWN", id, "%s is no plural category", safetext.Quote(category))
			good = false
		case !slices.Contains(p.lang.data.Plurals, category):
			p.add("WORDING-FORM-UNKNOWN", id, "%s has no plural category %q", p.lang.Tag, category)
			good = false
		case slices.Contains(m.forms, category):
			p.add("WORDING-TWICE", id, "form %q is there twice", category)
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
	if n := utf8.RuneCountInString(s); n > MaxText {
		add("WORDING-LONG", "the text has %d characters, more than %d", n, MaxText)
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
