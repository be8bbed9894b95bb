package i18n

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	goi18n "github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

// Wording is the checked messages of one language. It is safe for use by
// several goroutines at once.
type Wording struct {
	lang      Language
	engine    language.Tag
	messages  map[string]Message
	localizer *goi18n.Localizer
}

// Load reads the wording file of a language and lays a practice's own sentences
// over it, each replacing one message whole. Any fault, in the file or in an
// override, and there is no wording: a sheet is never made from half of one, nor in
// a parked language.
// Faults of the file have paths "i18n/es.json:id", those of overrides
// "wordings/es:id".
func Load(tag string, data []byte, overrides map[string]Message) (*Wording, fault.List) {
	var faults fault.List
	lang, ok := Known(tag)
	switch {
	case !ok:
		faults.Add("WORDING-LANGUAGE", "", "there is no language %s", safetext.Quote(tag))
		return nil, faults
	case lang.Tier == Parked:
		faults.Add("LANGUAGE-PARKED", "", "%s (%s) is parked: it is not offered for now", lang.Name, tag)
		return nil, faults
	}
	messages, faults := lang.Parse("i18n/"+tag+".json", data)
	faults.Append(lang.override(messages, overrides)...)
	if len(faults) > 0 {
		return nil, faults
	}
	w := &Wording{lang: lang, messages: messages}
	var err error
	if w.engine, err = lang.engine(); err != nil {
		faults.Add("WORDING-LANGUAGE", "", "language %s: %v", tag, err)
		return nil, faults
	}
	// One bundle for one language, its own default: in a shared bundle the
	// library's matcher may answer in another language without an error.
	bundle := goi18n.NewBundle(w.engine)
	for id, m := range messages {
		if err := bundle.AddMessages(w.engine, lang.filled(id, m)); err != nil {
			faults.Add("WORDING-LANGUAGE", "i18n/"+tag+".json:"+id, "%v", err)
			return nil, faults
		}
	}
	w.localizer = goi18n.NewLocalizer(bundle, w.engine.String())
	return w, nil
}

// override checks the replacements and puts them into messages.
func (l Language) override(messages map[string]Message, overrides map[string]Message) fault.List {
	p := &parser{lang: l, name: "wordings/" + l.Tag}
	for _, id := range slices.Sorted(maps.Keys(overrides)) {
		m := overrides[id]
		base, ok := messages[id]
		if !ok {
			p.add("WORDING-ID", id, "there is no such message to replace")
			continue
		}
		if base.Plural() != m.Plural() && m != (Message{}) {
			p.add("WORDING-FORM-MISSING", id, "a message with plural forms is replaced by one with them, a plain one by a plain one")
			continue
		}
		if !p.sound(id, m) {
			continue
		}
		p.faults.Append(l.SamePlaceholders(p.name+":"+id, base, m)...)
		messages[id] = m
	}
	return p.faults
}

// Sound checks messages by themselves, as Parse checks those of a file, whose name is
// name. It gives those without a fault beside the faults.
func (l Language) Sound(name string, messages map[string]Message) (map[string]Message, fault.List) {
	p := &parser{lang: l, name: strings.TrimSuffix(name, ":")}
	sound := map[string]Message{}
	for _, id := range slices.Sorted(maps.Keys(messages)) {
		if p.sound(id, messages[id]) {
			sound[id] = messages[id]
		}
	}
	return sound, p.faults
}

// sound checks a message that was not read from a file of its own.
func (p *parser) sound(id string, m Message) bool {
	before := len(p.faults)
	r := raw{Message: m, object: m.Plural()}
	for _, c := range Categories {
		if m.Form(c) == "" {
			continue
		}
		if !slices.Contains(p.lang.data.Plurals, c) {
			p.add("WORDING-FORM-UNKNOWN", id, "%s has no plural category %q", p.lang.Tag, c)
			continue
		}
		r.forms = append(r.forms, c)
	}
	if m == (Message{}) {
		p.add("WORDING-EMPTY", id, "the text is empty")
		return false
	}
	return p.message(id, r) && len(p.faults) == before
}

// SamePlaceholders compares a message with the one it replaces or translates:
// no value may be lost and none invented. A form that stands for exactly one
// count may leave the count out, in words ("one tooth").
func (l Language) SamePlaceholders(path string, want, got Message) fault.List {
	var faults fault.List
	need := want.Placeholders()
	plural := got.Plural()
	for _, c := range Categories {
		text := got.Form(c)
		if text == "" {
			continue
		}
		where := ""
		if plural {
			where = "form " + c + ": "
		}
		have := PlaceholdersIn(text)
		for _, n := range need {
			if slices.Contains(have, n) {
				continue
			}
			if p, _ := LookupPlaceholder(n); p.Kind == "count" && plural && c != "other" && l.single(c) {
				continue
			}
			faults.Add("WORDING-PLACEHOLDER-LOST", path, "%s{{.%s}} is missing", where, n)
		}
		for _, n := range have {
			if !slices.Contains(need, n) {
				faults.Add("WORDING-PLACEHOLDER-EXTRA", path, "%s{{.%s}} is not in the original", where, n)
			}
		}
	}
	return faults
}

// single reports whether the category contains one whole number only, as "one"
// does in English but not in Russian (1, 21, 31...). CLDR's rules for numbers of a
// few digits go by the last two, so that what comes back does so before 200.
func (l Language) single(category string) bool {
	n := 0
	for i := 0; i <= 200 && n < 2; i++ {
		if c, err := l.Category(fmt.Sprint(i)); err == nil && c == category {
			n++
		}
	}
	return n == 1
}

// filled gives the message for the library, with the text of "other" in forms
// the language does not have, since the library's plural rules may lag CLDR's.
func (l Language) filled(id string, m Message) *goi18n.Message {
	if m.Plural() || len(l.data.Plurals) == 1 {
		for _, c := range Categories {
			if !slices.Contains(l.data.Plurals, c) {
				m = m.WithForm(c, m.Other)
			}
		}
	}
	return &goi18n.Message{ID: id, Zero: m.Zero, One: m.One, Two: m.Two, Few: m.Few, Many: m.Many, Other: m.Other}
}

// Language is the language of the wording.
func (w *Wording) Language() Language { return w.lang }

// Has reports whether there is a message with this id.
func (w *Wording) Has(id string) bool {
	_, ok := w.messages[id]
	return ok
}

// IDs lists the message ids in order.
func (w *Wording) IDs() []string { return slices.Sorted(maps.Keys(w.messages)) }

// Source gives the raw text of a message, empty if there is none.
func (w *Wording) Source(id string) Message { return w.messages[id] }

// Placeholders lists the names a message needs values for, over all its forms.
func (w *Wording) Placeholders(id string) []string { return w.messages[id].Placeholders() }

// Text gives the text of a message with the values in args put in verbatim;
// isolating and escaping them is the business of whoever prints. count is "" for
// a plain message, else a decimal in Latin digits ("2", "1.5") that selects the
// plural form and is not itself inserted. An unknown id, a missing value, a count
// where none belongs or none where one does are errors.
func (w *Wording) Text(id string, args map[string]string, count string) (string, error) {
	m, ok := w.messages[id]
	if !ok {
		return "", fmt.Errorf("i18n: %s has no message %q", w.lang.Tag, id)
	}
	config := &goi18n.LocalizeConfig{MessageID: id, TemplateParser: strictParser}
	form := "other"
	if len(w.lang.data.Plurals) > 1 && m.Plural() != (count != "") {
		if count == "" {
			return "", fmt.Errorf("i18n: %s %q needs a count", w.lang.Tag, id)
		}
		return "", fmt.Errorf("i18n: %s %q has no plural forms", w.lang.Tag, id)
	}
	if count != "" {
		var err error
		if form, err = w.lang.Category(count); err != nil {
			return "", fmt.Errorf("%w (in %s %q)", err, w.lang.Tag, id)
		}
		config.PluralCount = count
	}
	if args == nil {
		args = map[string]string{}
	}
	for _, name := range PlaceholdersIn(m.Form(form)) {
		if _, ok := args[name]; !ok {
			return "", fmt.Errorf("i18n: %s %q lacks a value for %s", w.lang.Tag, id, name)
		}
	}
	config.TemplateData = args
	text, tag, err := w.localizer.LocalizeWithTag(config)
	switch {
	case err != nil:
		return "", fmt.Errorf("i18n: %s %q: %w", w.lang.Tag, id, err)
	case tag != w.engine:
		return "", fmt.Errorf("i18n: %s %q was answered in %s", w.lang.Tag, id, tag)
	case strings.Contains(text, "<no value>") && !anyContains(args, "<no value>"):
		return "", fmt.Errorf("i18n: %s %q lacks a value", w.lang.Tag, id)
	}
	return text, nil
}

// RangeCount gives the count to name in Text for a range, whose ends are decimals in
// Latin digits, written by the value called name. A form that says its one count in words
// and leaves the figures out is never one for a range.
func (w *Wording) RangeCount(id, name, low, high string) (string, error) {
	category, err := w.lang.RangeCategory(low, high)
	if err != nil || low == high {
		return high, err
	}
	m := w.messages[id]
	shows := func(text string) bool { return slices.Contains(PlaceholdersIn(text), name) }
	if shows(m.Other) && !shows(m.Form(category)) {
		category = "other"
	}
	count := w.lang.CountOf(category)
	if count == "" {
		return "", fmt.Errorf("i18n: %s has no count of the form %s", w.lang.Tag, category)
	}
	return count, nil
}

func anyContains(args map[string]string, s string) bool {
	for _, v := range args {
		if strings.Contains(v, s) {
			return true
		}
	}
	return false
}
