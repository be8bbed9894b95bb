package produce

import (
	"maps"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/render"
	"plainleaf/i18n"
	"plainleaf/i18n/vet"
)

// Overrides turns the practice's own sentences of one language, the newest, into messages.
// The practice has been checked, so each is a text or a set of plural forms.
func Overrides(p casefile.Practice, tag string) map[string]i18n.Message {
	return messages(p.Wordings[tag])
}

func messages(sentences map[string]any) map[string]i18n.Message {
	out := map[string]i18n.Message{}
	for id, w := range sentences {
		var m i18n.Message
		switch v := w.(type) {
		case string:
			m.Other = v
		case map[string]any:
			for _, form := range i18n.Categories {
				if text, ok := v[form].(string); ok {
					m = m.WithForm(form, text)
				}
			}
		}
		out[id] = m
	}
	return out
}

// Sentence is a message as a practice file has it.
func Sentence(m i18n.Message) any {
	if !m.Plural() {
		return m.Other
	}
	forms := map[string]any{}
	for _, c := range i18n.Categories {
		if s := m.Form(c); s != "" {
			forms[c] = s
		}
	}
	return forms
}

// Newest is a language, data its wording file, with the practice's own sentences in it as
// they now are: the words that a sign-off is about.
func Newest(p casefile.Practice, tag string, data []byte) (*i18n.Wording, fault.List) {
	return load(tag, data, Overrides(p, tag), nil)
}

// Printed is a language with the practice's own sentences in it as sheets print them:
// until a sentence is approved, the one it replaced. That holds of warnings too: each
// is printed, in the words that were last approved.
func Printed(p casefile.Practice, tag string, data []byte) (*i18n.Wording, fault.List) {
	return load(tag, data, Overrides(p, tag), messages(p.InService[tag]))
}

// load leaves out sentences of messages that the program no longer has, which Vet tells,
// and held ones that no longer fit their message: the new one is printed then.
func load(tag string, data []byte, own, held map[string]i18n.Message) (*i18n.Wording, fault.List) {
	for {
		all := maps.Clone(own)
		maps.Copy(all, held)
		w, faults := i18n.Load(tag, data, all)
		again := false
		for _, f := range faults {
			id, ofOwn := strings.CutPrefix(f.Path, "wordings/"+tag+":")
			_, isHeld := held[id]
			if !ofOwn || !isHeld && f.Code != "WORDING-ID" {
				continue
			}
			delete(held, id)
			if f.Code == "WORDING-ID" {
				delete(own, id)
			}
			again = true
		}
		if !again {
			return w, faults
		}
	}
}

// Vet checks the practice's own sentences as those of a translator are checked. notes are
// about sentences for messages that this program does not have: they are kept in the file
// and printed nowhere, so that a file outlives its messages.
func Vet(p casefile.Practice) (faults, notes fault.List) {
	if len(p.Wordings)+len(p.InService) == 0 {
		return nil, nil
	}
	source := i18n.Source()
	data, _ := i18n.Embedded(source.Tag)
	english, faults := source.Parse(vet.Path(source.Tag, ""), data)
	for _, part := range []struct {
		name string
		all  map[string]map[string]any
	}{{"wordings", p.Wordings}, {"in_service", p.InService}} {
		for _, tag := range slices.Sorted(maps.Keys(part.all)) {
			lang, spoken := i18n.Lookup(tag)
			if !spoken {
				continue // the check of the file says so
			}
			beside := maps.Clone(english)
			if tag != source.Tag {
				maps.Copy(beside, messages(part.all[source.Tag]))
			}
			f, unknown := vet.Own(part.name, lang, beside, messages(part.all[tag]))
			faults.Append(f...)
			for _, id := range unknown {
				notes.Add("WORDING-ID", part.name+"."+tag+"."+id, "this program has no such sentence: it is kept in the file and printed nowhere; check its id or take it out")
			}
		}
	}
	return faults, notes
}

// Succeed gives the practice that takes the place of old: next, in which sentences of the
// practice's own that were approved, and are others now, stay in service until the new
// ones are approved. newest gives the newest words of a language of a practice, nil where
// they are not at hand; it is asked for the languages of Unnamed.
func Succeed(old, next casefile.Practice, newest func(p casefile.Practice, tag string) *i18n.Wording) casefile.Practice {
	old.Approved = cloned(old.Approved)
	for _, tag := range Unnamed(old) {
		if w := newest(old, tag); w != nil && slices.ContainsFunc(signOffs(old, tag), func(s casefile.SignOff) bool { return s.Wording == render.Digest(w) }) {
			render.Approve(&old, tag, w, newest(old, old.Locale))
		}
	}
	approved, held := cloned(next.Approved), cloned(next.InService)
	for tag, noted := range old.Approved {
		if approved[tag] == nil && slices.Equal(signOffs(old, tag), signOffs(next, tag)) {
			approved[tag] = noted
		}
		was, now, serving := Overrides(old, tag), Overrides(next, tag), messages(old.InService[tag])
		if w := newest(old, tag); w != nil { // the program's own sentences too, where the practice now words them
			for id := range now {
				if _, own := was[id]; !own && w.Has(id) {
					was[id] = w.Source(id)
				}
			}
		}
		// What serves is the sentence last approved, whatever came after it.
		maps.DeleteFunc(was, func(id string, m i18n.Message) bool { return !render.Approves(noted, id, m) })
		maps.Copy(was, serving)
		for id, last := range was {
			fresh, ok := now[id]
			if w := newest(next, tag); !ok && w != nil && w.Has(id) { // the program's again
				fresh, ok = w.Source(id), true
			}
			_, said := held[tag][id]
			if said || ok && (fresh == last || render.Approves(next.Approved[tag], id, fresh)) {
				continue
			}
			if held[tag] == nil {
				held[tag] = map[string]any{}
			}
			held[tag][id] = Sentence(last)
		}
	}
	next.Approved, next.InService = emptied(approved), emptied(held)
	return next
}

// Unnamed lists the languages of a practice whose sign-offs have a digest of all words
// only, and which the practice words itself.
func Unnamed(p casefile.Practice) []string {
	var out []string
	for _, s := range p.SignOffs {
		if s.Wording != "" && p.Approved[s.Locale] == nil && len(p.Wordings[s.Locale]) > 0 && !slices.Contains(out, s.Locale) {
			out = append(out, s.Locale)
		}
	}
	return out
}

func signOffs(p casefile.Practice, tag string) []casefile.SignOff {
	return slices.DeleteFunc(slices.Clone(p.SignOffs), func(s casefile.SignOff) bool { return s.Locale != tag })
}

func cloned(all map[string]map[string]any) map[string]map[string]any {
	out := map[string]map[string]any{}
	for tag, m := range all {
		out[tag] = maps.Clone(m)
	}
	return out
}

func emptied(all map[string]map[string]any) map[string]map[string]any {
	maps.DeleteFunc(all, func(_ string, m map[string]any) bool { return len(m) == 0 })
	if len(all) == 0 {
		return nil
	}
	return all
}
