package i18n

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"plainleaf/app/fault"
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
	dec := json.NewDecoder(bytes.NewReader(data))
	messages := map[string]Message{}
	if err := p.object(dec, messages); err != nil {
		p.add("WORDING-JSON", "", "not JSON: %v", err)
		return nil
	}
	if _, err := dec.Token(); err != io.EOF {
		p.add("WORDING-JSON", "", "something follows the object")
		return nil
	}
	return messages
}

var errNotObject = errors.New("the file must hold one object")

func (p *parser) object(dec *json.Decoder, messages map[string]Message) error {
	if t, err := dec.Token(); err != nil {
		return err
	} else if t != json.Delim('{') {
		return errNotObject
	}
	seen := map[string]bool{}
	for dec.More() {
		id, err := key(dec)
		if err != nil {
			return err
		}
		good := true
		if seen[id] {
			p.add("WORDING-TWICE", id, "the id is there twice")
			good = false
		}
		seen[id] = true
		m, ok, err := p.value(dec, id)
		if err != nil {
			return err
		}
		if ok && p.message(id, m) && good {
			messages[id] = m.Message
		}
	}
	_, err := dec.Token() // the closing brace
	return err
}

func key(dec *json.Decoder) (string, error) {
	t, err := dec.Token()
	if err != nil {
		return "", err
	}
	s, ok := t.(string)
	if !ok {
		return "", fmt.Errorf("a key is %v", t)
	}
	return s, nil
}

// raw is a message as the file has it: written as an object or as a string.
type raw struct {
	Message
	object bool
	forms  []string // categories present, also empty ones
}

func (p *parser) value(dec *json.Decoder, id string) (raw, bool, error) {
	t, err := dec.Token()
	if err != nil {
		return raw{}, false, err
	}
	switch v := t.(type) {
	case string:
		return raw{Message: Message{Other: v}, forms: []string{"other"}}, true, nil
	case json.Delim:
		if v != '{' {
			break
		}
		m, good := raw{object: true}, true
		for dec.More() {
			category, err := key(dec)
			if err != nil {
				return raw{}, false, err
			}
			t, err := dec.Token()
			if err != nil {
				return raw{}, false, err
			}
			text, isText := t.(string)
			switch {
			case !isText:
				p.add("WORDING-TYPE", id, "form %s is not a string", quote(category))
				good = false
				if err := skip(dec, t); err != nil {
					return raw{}, false, err
				}
			case !slices.Contains(Categories, category):
				p.add("WORDING-FORM-UNKNOWN", id, "%s is no plural category", quote(category))
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
		_, err := dec.Token()
		return m, good, err
	}
	p.add("WORDING-TYPE", id, "a message is a string or an object of plural forms")
	return raw{}, false, skip(dec, t)
}

// skip reads past the rest of a value whose first token was t.
func skip(dec *json.Decoder, t json.Token) error {
	depth := 0
	for {
		switch t {
		case json.Delim('{'), json.Delim('['):
			depth++
		case json.Delim('}'), json.Delim(']'):
			depth--
		}
		if depth == 0 {
			return nil
		}
		var err error
		if t, err = dec.Token(); err != nil {
			return err
		}
	}
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
	reported := map[string]bool{}
	for i, r := range s {
		code, text := hidden(r)
		if r == '&' && isEntity(s[i:]) {
			code, text = "WORDING-MARKUP", "a character reference"
		}
		if code != "" && !reported[code] {
			reported[code] = true
			add(code, "%s (U+%04X)", text, r)
		}
	}
}

// hidden tells what is wrong with a character, if anything.
func hidden(r rune) (code, text string) {
	switch {
	case r == '<' || r == '>':
		return "WORDING-MARKUP", "markup"
	case r >= ' ' && r < 0x7f:
		return "", "" // most characters, so before the tables
	case unicode.Is(unicode.Bidi_Control, r):
		return "WORDING-BIDI", "a direction control; inserted values are isolated when printed"
	case r == '\u200c' || r == '\u200d':
		return "", "" // joiners, needed to spell some languages
	case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029':
		return "WORDING-CONTROL", "a control or invisible character"
	case unicode.Is(unicode.Co, r) || r&0xfffe == 0xfffe || r >= 0xfdd0 && r <= 0xfdef:
		return "WORDING-PRIVATE", "a private-use character or no character"
	case r == utf8.RuneError:
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
			l.Add("WORDING-TEMPLATE", "", "%s is not a placeholder: only {{.Name}} is", quote(inner))
		} else if _, known := LookupPlaceholder(name); !known {
			l.Add("WORDING-PLACEHOLDER-UNKNOWN", "", "placeholder %s is not in placeholders.json", name)
		}
	}
}

// quote shortens hostile text for a fault.
func quote(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "..."
	}
	return fmt.Sprintf("%q", s)
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
