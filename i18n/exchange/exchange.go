//go:build !js

// Package exchange sends wordings to a translator and takes them back, as XLIFF
// files. Native only.
//
// The form is XLIFF 2.0 (OASIS Standard of 05 August 2014), its core and no module.
// Version 2.1 left that core and its namespace as they were and added modules that
// are not used here, while some readers know the number 2.0 only; so 2.0 is written,
// and both are read.
//
// What a file holds:
//
//   - A message is a unit whose id is the message's. XLIFF 2 has no plural forms: a
//     message with some is a group of one unit for each form that the target language
//     has (CLDR), its id with "_" and the category after it (a unit's id is an
//     NMTOKEN, which cannot have "#"); its source is the source's form of the same
//     category or else "other", and a note names counts the form is for. All forms of
//     a message come back or none.
//   - A value, {{.Count}} in a wording, is a ph with the value's name as its id,
//     a second one of the same name "Count-2". Its original stands in originalData.
//     canDelete is "no" except in the form for one single count, which may say the
//     count in words.
//   - Notes say what a message is for (notes.json), where it was met on the sheets of the
//     example cases and beside what (where.json), what each value is (placeholders.json),
//     and whether the text is stale. The units are in the order
//     of order.json: what a patient reads first, in the order of the sheets.
//   - state is the review state. A text whose source has changed since is "initial"
//     with the subState "plainleaf:stale", so that an editor offers it as open work.
//
// What comes back is hostile until read: see Read. What is taken of it: see Judge, and
// Leave for a file of which some sentences have a fault.
// A file of the same wordings has the same bytes, and one that comes back as it went
// out changes nothing.
package exchange

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"

	"plainleaf/i18n"
	"plainleaf/i18n/vet"
)

// Work is the wordings that a file is about, as they stand now.
type Work struct {
	// Source is the language translated from, Target the one translated into.
	Source, Target i18n.Language
	// English says which messages there are and what each must hold: the messages of
	// the program's source language in force. From is the same for Source.
	English, From map[string]i18n.Message
	// To is what is in force in Target, empty for a language only begun.
	To map[string]i18n.Message
	// States gives the review states of To, where they are kept.
	States map[string]i18n.State
	// Own marks messages that the practice worded itself in either language.
	Own map[string]bool
	// Stale marks texts of To that were not made from the present source.
	Stale map[string]bool
	// Allowed gives the reasons for digits in messages (digits-allowed.json).
	Allowed map[string]string
}

// New is the work on the wordings as they stand in the program's own files. English
// and From differ where source is not the program's source language.
func New(source, target i18n.Language, english, from, to map[string]i18n.Message, states map[string]i18n.State) Work {
	w := Work{Source: source, Target: target, English: english, From: from, To: to, States: states,
		Own: map[string]bool{}, Stale: map[string]bool{}, Allowed: i18n.DigitsAllowed()}
	for id := range to {
		if m, ok := english[id]; ok && states[id].SourceHash != i18n.Hash(m) {
			w.Stale[id] = true
		}
	}
	return w
}

// WithOwn lays a practice's own sentences over both languages. A text of the program
// was not made from a sentence of the practice, and so is stale beside one. A text of
// the practice is stale where its file notes that it was made from another source, as
// MadeFrom gives it; where it notes nothing, the text is taken as current.
func (w Work) WithOwn(english, source, target map[string]i18n.Message, made map[string]string) Work {
	lay := func(under, over map[string]i18n.Message) map[string]i18n.Message {
		all := maps.Clone(under)
		maps.Copy(all, over)
		return all
	}
	w.Own, w.Stale = map[string]bool{}, maps.Clone(w.Stale)
	for id := range source {
		w.Own[id] = true
		w.Stale[id] = true
	}
	for id := range target {
		w.Own[id] = true
		delete(w.Stale, id)
	}
	w.English, w.From, w.To = lay(w.English, english), lay(w.From, source), lay(w.To, target)
	if w.To == nil {
		w.To = map[string]i18n.Message{}
	}
	for id := range target {
		if from, _, noted := strings.Cut(made[id], " "); noted && from == w.Source.Tag && made[id] != w.MadeFrom(id) {
			w.Stale[id] = true
		}
	}
	return w
}

// MadeFrom is how a practice file notes what a text was translated from: the source
// language and the digest of its message.
func (w Work) MadeFrom(id string) string { return w.Source.Tag + " " + i18n.Hash(w.From[id]) }

// IDs lists the messages in the order of a file.
func (w Work) IDs() []string {
	ids := slices.Collect(maps.Keys(w.From))
	ids = slices.DeleteFunc(ids, func(id string) bool { _, ok := w.English[id]; return !ok })
	slices.SortFunc(ids, func(a, b string) int {
		s, t := placeOf(a), placeOf(b)
		if s.section != t.section {
			return s.section - t.section
		}
		if s.of != t.of {
			return s.of - t.of
		}
		return strings.Compare(a, b)
	})
	return ids
}

// forms lists the plural categories that a message has in the target language, one
// empty name for a message without any.
func (w Work) forms(id string) []string {
	if !w.English[id].Plural() || len(w.Target.Plurals()) == 1 {
		return []string{""}
	}
	return w.Target.Plurals()
}

// text is one form of a message, where form is as forms gives it.
func text(m i18n.Message, form string) string {
	if form == "" {
		return m.Other
	}
	return m.Form(form)
}

// source is what a form of a message is translated from: the source's form of the
// same name, unless it leaves out the count where the target's form is for several.
func (w Work) source(id, form string) string {
	m := w.From[id]
	s := text(m, form)
	if s == "" || form != "" && !w.single(form) && len(i18n.PlaceholdersIn(s)) < len(i18n.PlaceholdersIn(m.Other)) {
		return m.Other
	}
	return s
}

// fits reports whether a text has the forms and the values of its source. One that was
// made before its source gained plural forms, or other values, could not come back as it
// is, and is left to be translated anew.
func (w Work) fits(id string) bool {
	to, has := w.To[id]
	if !has || slices.ContainsFunc(w.forms(id), func(form string) bool { return text(to, form) == "" }) {
		return false
	}
	return to.Plural() == (w.forms(id)[0] != "") && len(w.Target.SamePlaceholders("", w.From[id], to)) == 0
}

// target is one form of a text as a file gives it, "" where it is to be made.
func (w Work) target(id, form string) string {
	if !w.fits(id) {
		return ""
	}
	return text(w.To[id], form)
}

// state is the review state that a file gives a message.
func (w Work) state(id string) string {
	_, has := w.To[id]
	switch s, noted := w.States[id]; {
	case !has || w.Stale[id]:
		return i18n.Initial
	case noted && !w.Own[id] && slices.Contains(i18n.ReviewStates, s.State):
		return s.State
	}
	return i18n.Translated
}

// single reports whether a form is for one count only.
func (w Work) single(form string) bool {
	return form != "" && form != "other" && len(counts(w.Target)[form]) == 1
}

var counted sync.Map // language tag -> plural category -> counts

// counts gives for each plural category the first counts that it is for, at most 9;
// the million and broken numbers where no whole number up to a thousand is.
func counts(l i18n.Language) map[string][]string {
	if found, ok := counted.Load(l.Tag); ok {
		return found.(map[string][]string)
	}
	found, rare := map[string][]string{}, map[string][]string{}
	try := func(into map[string][]string, count string) {
		if c, err := l.Category(count); err == nil && len(into[c]) < 9 {
			into[c] = append(into[c], count)
		}
	}
	for i := range 1001 {
		try(found, fmt.Sprint(i))
	}
	for _, count := range []string{"1000000", "0.5", "1.5", "10.5"} {
		try(rare, count)
	}
	for c, list := range rare {
		if len(found[c]) == 0 {
			found[c] = list
		}
	}
	counted.Store(l.Tag, found)
	return found
}

// section is a run of a file: messages that stand together.
type section struct {
	Name string
	// Part is sheets, what a patient reads, or screens, what the practice reads.
	Part string
	// Of are the starts of ids, in order.
	Of []string
}

type order struct {
	About    []string
	Sections []section
}

//go:embed order.json
var orderJSON []byte

var ordered = sync.OnceValue(func() order {
	var o order
	if err := json.Unmarshal(orderJSON, &o); err != nil {
		panic("exchange: order.json: " + err.Error())
	}
	return o
})

// Parts lists the parts of the wordings that can be sent by themselves.
var Parts = []string{"sheets", "screens"}

type place struct{ section, of int }

// places finds the start of an id in order.json.
var places = sync.OnceValue(func() map[string]place {
	m := map[string]place{}
	for i, s := range ordered().Sections {
		for j, of := range s.Of {
			m[of] = place{i, j}
		}
	}
	return m
})

// placeOf is the place of the longest start of an id; the end for one without.
func placeOf(id string) place {
	for key := id; ; {
		if p, ok := places()[key]; ok {
			return p
		}
		i := strings.LastIndexByte(key, '.')
		if i < 0 {
			return place{len(ordered().Sections), 0}
		}
		key = key[:i]
	}
}

// side reads one of the files of notes or reasons.
func side(name string) map[string]string {
	m := map[string]string{}
	data, err := fs.ReadFile(i18n.Files(), name)
	if err == nil {
		err = json.Unmarshal(data, &m)
	}
	if err != nil {
		panic("exchange: " + name + ": " + err.Error())
	}
	return m
}

var notes = sync.OnceValue(func() map[string]string { return side("notes.json") })

func note(id string) string { return vet.Under(notes(), id) }
