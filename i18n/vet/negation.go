package vet

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"unicode"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/i18n"
)

//go:embed negations.json
var negationsJSON []byte

// negating lists words and phrases of a language in lower case and without vowel marks;
// one after a ^ counts at the start of a sentence only.
type negating struct {
	// No are those that negate the sentence they are in.
	No []string `json:"no"`
	// Maybe are those that another language, or another writer, may say with a word of
	// No: "leave it alone" for "do not touch it", "not until" for "only after".
	Maybe []string `json:"maybe"`
}

type negations struct {
	Words map[string]negating `json:"words"`
	// Allowed gives, by language and message, why a right translation negates where the
	// source does not, or the other way round.
	Allowed map[string]map[string]string `json:"allowed"`
}

var loadNegations = sync.OnceValue(func() negations {
	var n negations
	if err := json.Unmarshal(negationsJSON, &n); err != nil {
		panic(fmt.Sprintf("vet: negations.json: %v", err))
	}
	return n
})

// negation reports forms of a message that lost a negation of their source or gained one.
// A fault quotes both sentences, the message's also as its value Value. Counted are the
// sentences that negate, as far as words show it; a message cut into other sentences than
// its source counts as one. A change that keeps this number, such as a "not" moved from
// one sentence to the next, goes unseen. The form for a count of nothing is left out,
// since "all lines are known" is what "no lines are unknown" says.
func negation(lang i18n.Language, id string, source, m i18n.Message) fault.List {
	known := loadNegations()
	of, to := known.Words[i18n.Source().Tag], known.Words[lang.Tag]
	if len(to.No) == 0 || known.Allowed[lang.Tag][id] != "" {
		return nil
	}
	var faults fault.List
	for _, category := range i18n.Categories[1:] {
		text, from := m.Form(category), source.Form(category)
		if text == "" {
			continue
		}
		if from == "" {
			from = source.Other
		}
		form := ""
		if m.Plural() {
			form = "form " + category + ": "
		}
		a, b := sentences(from), sentences(text)
		if len(a) != len(b) {
			a, b = []string{from}, []string{text}
		}
		ofLeast, ofMost := of.count(a, plain(text))
		least, most := to.count(b, plain(from))
		format, i := "", 0
		switch {
		case most < ofLeast:
			format, i = "%sthe source says no, \"%s\", and the text does not, \"%s\"", to.pair(b, of, a)
		case least > ofMost:
			format, i = "%sthe source does not say no, \"%s\", and the text does, \"%s\"", of.pair(a, to, b)
		default:
			continue
		}
		faults.Append(fault.New("WORDING-NEGATION", Path(lang.Tag, id), format, form, safetext.Cut(a[i]), safetext.Cut(b[i])).With("Value", safetext.Cut(b[i])))
	}
	return faults
}

// count gives how many sentences negate: at least those with a word of No, at most those
// with one of Maybe too. A word of Maybe that the other text has as well explains nothing.
func (n negating) count(sentences []string, other string) (least, most int) {
	for _, s := range sentences {
		if s = plain(s); has(s, n.No) != "" {
			least++
			most++
		} else if word := has(s, n.Maybe); word != "" && has(other, []string{word}) == "" {
			most++
		}
	}
	return least, most
}

// pair finds the first place where the other text negates and this one does not.
func (n negating) pair(sentences []string, of negating, others []string) int {
	for i := range sentences {
		if has(plain(sentences[i]), n.No) == "" && has(plain(others[i]), of.No) != "" {
			return i
		}
	}
	return 0
}

// has gives the first of the words that a plain text has, "" for none.
func has(text string, words []string) string {
	for _, w := range words {
		if strings.Contains(text, " "+w+" ") {
			return w
		}
	}
	return ""
}

// plain is a text as words in lower case with a space around each, without values and
// vowel marks, after a ^ for its start; the English n't is a word.
func plain(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '’' || r == '\'':
			return '\''
		case unicode.IsMark(r):
			return -1
		case !unicode.IsLetter(r):
			return ' '
		}
		return unicode.ToLower(r)
	}, bare(text, " "))
	text = strings.ReplaceAll(text, "n't", " n't")
	return " ^ " + strings.Join(strings.Fields(text), " ") + " "
}

// sentences cuts a text after the marks that end a sentence or a clause of its own.
func sentences(text string) []string {
	var all []string
	start, ended := 0, false
	for i, r := range text {
		if ended && unicode.IsSpace(r) {
			all = append(all, strings.TrimSpace(text[start:i]))
			start = i
		}
		ended = strings.ContainsRune(".!?:;…؟؛", r)
	}
	return append(all, strings.TrimSpace(text[start:]))
}
