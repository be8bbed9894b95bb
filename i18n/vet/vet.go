// Package vet says what is wrong with messages beyond their form: how they are written,
// and what they lost or gained beside the source. The upkeep of the wordings, what comes
// back from a translator and a practice's own sentences all go by it, also in the browser.
package vet

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/i18n"
)

// Messages reports what is wrong with messages of a language beyond what its Parse finds.
// source are those of the source language, nil where they are the source themselves;
// allowed gives the reasons of digits-allowed.json. Paths are those of Path.
func Messages(lang i18n.Language, source, fresh map[string]i18n.Message, allowed map[string]string) fault.List {
	var faults fault.List
	for _, id := range slices.Sorted(maps.Keys(fresh)) {
		m := fresh[id]
		faults.Append(prose(lang, id, m, Under(allowed, id) != "")...)
		if source == nil {
			continue
		}
		if of, ok := source[id]; ok {
			faults.Append(between(lang, id, of, m)...)
		} else {
			faults.Add("WORDING-EXTRA", Path(lang.Tag, id), "the message is not in %s", i18n.Source().Tag)
		}
	}
	return faults
}

// Own reports what is wrong with sentences of a practice's own in one language, as a
// translator's are checked. english are the program's messages in the source language,
// with the practice's own laid over them where lang is another. The path is the place in
// the practice file, name and language and id; a fault quotes the sentence, also as its
// value Value, and says what to do. unknown are messages that the program does not have,
// which says nothing about the sentence: there may have been one.
func Own(name string, lang i18n.Language, english, own map[string]i18n.Message) (faults fault.List, unknown []string) {
	known := map[string]i18n.Message{}
	for _, id := range slices.Sorted(maps.Keys(own)) {
		if _, ok := english[id]; ok {
			known[id] = own[id]
		} else {
			unknown = append(unknown, id)
		}
	}
	sound, wrong := lang.Sound(Path(lang.Tag, ""), known)
	for _, f := range append(wrong, Messages(lang, english, sound, i18n.DigitsAllowed())...) {
		if f.Code == "WORDING-UNTRANSLATED" && lang.Tag == i18n.Source().Tag {
			continue // the program's own sentence again
		}
		_, id, _ := strings.Cut(f.Path, ":")
		f.Path = name + "." + lang.Tag + "." + id
		if what := Advice(f.Code); what != "" {
			f.Text += ": " + what
		}
		if f.Args["Value"] == "" {
			text := own[id].Other
			for _, c := range i18n.Categories {
				if form := own[id].Form(c); form != "" && (text == "" || strings.HasPrefix(f.Text, "form "+c+":")) {
					text = form
				}
			}
			f.Text += "; the sentence is \"" + safetext.Cut(text) + "\""
			f = f.With("Value", safetext.Cut(text))
		}
		faults.Append(f)
	}
	return faults, unknown
}

// Advice is what to do about a fault, for whoever wrote the sentence; "" where the fault
// says so itself.
func Advice(code string) string { return advice[code] }

var advice = map[string]string{
	"WORDING-PLACEHOLDER-LOST":    "take the mark over from the source, to its place in the sentence",
	"WORDING-PLACEHOLDER-EXTRA":   "take the mark out",
	"WORDING-PLACEHOLDER-UNKNOWN": "take the mark out",
	"WORDING-DIGITS":              "put the source's mark where the number is, or say it in words as the source does",
	"WORDING-DIGITS-DIFFER":       "use the source's numbers",
	"WORDING-NEGATION":            "say no where the source does, with a word such as not, and only there",
	"WORDING-UNTRANSLATED":        "translate it, or leave it empty",
	"WORDING-SPACE":               "take the extra space out",
	"WORDING-MARKUP":              "take it out",
	"WORDING-BIDI":                "take it out",
	"WORDING-CONTROL":             "take it out, and line breaks too",
	"WORDING-LONG":                "say it in fewer words",
}

// Path is the place of a message in the program's own files.
func Path(tag, id string) string { return "i18n/" + tag + ".json:" + id }

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

// bare is a text with another in place of each value.
func bare(text, instead string) string {
	for _, name := range i18n.PlaceholdersIn(text) {
		text = strings.ReplaceAll(text, "{{."+name+"}}", instead)
	}
	return text
}

// prose checks how one message is written: what no reader should see, and what
// belongs into a value instead of the text.
func prose(lang i18n.Language, id string, m i18n.Message, digitsAllowed bool) fault.List {
	var faults fault.List
	lost := formLoss(lang, id, m)
	for _, category := range i18n.Categories {
		text := m.Form(category)
		if text == "" {
			continue
		}
		add := func(code, format string, a ...any) {
			if m.Plural() {
				format = "form " + category + ": " + format
			}
			faults.Add(code, Path(lang.Tag, id), format, a...)
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
		if !IsNFC(text) {
			add("WORDING-NFC", "the text is not in Unicode normal form C")
		}
		if !digitsAllowed && strings.ContainsFunc(bare(text, ""), unicode.IsDigit) {
			add("WORDING-DIGITS", "a number typed into the text: use a placeholder, or give a reason in digits-allowed.json")
		}
		for _, f := range lost {
			if strings.HasPrefix(f.Text, "form "+category+":") {
				faults.Append(f)
			}
		}
	}
	return faults
}

// formLoss reports the forms that leave out a value another form has.
func formLoss(lang i18n.Language, id string, m i18n.Message) fault.List {
	if !m.Plural() {
		return nil
	}
	whole := i18n.Message{}
	for _, n := range m.Placeholders() {
		whole.Other += "{{." + n + "}}"
	}
	return lang.SamePlaceholders(Path(lang.Tag, id), whole, m)
}

// between compares a translation with its source.
func between(lang i18n.Language, id string, source, m i18n.Message) fault.List {
	var faults fault.List
	where := Path(lang.Tag, id)
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
	for _, w := range strings.Fields(bare(source.Other, "")) {
		if strings.ContainsFunc(w, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
			words++
		}
	}
	if words >= 3 && source.Other == m.Other {
		faults.Add("WORDING-UNTRANSLATED", where, "the text is the source's")
	}
	if source != m {
		faults.Append(negation(lang, id, source, m)...)
	}
	return faults
}

// lostName is the value that a fault says is missing, "" for another fault.
func lostName(f fault.Fault) string {
	name, isLost := strings.CutSuffix(f.Text, "}} is missing")
	if !isLost {
		return ""
	}
	return name[strings.LastIndexByte(name, '.')+1:]
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
	}, bare(text, " "))
	found := strings.FieldsFunc(text, func(r rune) bool { return r < '0' || r > '9' })
	slices.Sort(found)
	return found
}
