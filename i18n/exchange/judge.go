//go:build !js

package exchange

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/app/strict"
	"plainleaf/i18n"
	"plainleaf/i18n/upkeep"
	"plainleaf/i18n/vet"
)

// Result is what a file brings. Ids are in the order of the file.
type Result struct {
	// Sentences counts the messages in the file.
	Sentences int
	// Taken are new or changed texts.
	Taken []string
	// Confirmed are texts as they were whose source had changed, and that the file
	// says are translated: they fit the source as it now is.
	Confirmed []string
	// Reviewed are texts as they were that the file says are reviewed, where they
	// were only translated.
	Reviewed []string
	// Unmarked are those of Taken that the file still calls initial.
	Unmarked []string
	// Same and Empty count texts as they were and sentences without one.
	Same, Empty int
	// Stale are sentences whose source is another by now. Gone are such as are no
	// longer there.
	Stale, Gone []string
	// Left counts sentences with a fault that Leave left out.
	Left int
	// Messages holds the texts of Taken, Confirmed and Reviewed.
	Messages map[string]i18n.Message
}

// Judge says what a file brings to the wordings as they stand. With any fault
// nothing of it may be taken.
//
// No state is taken at its word, since whoever has the file can write any into it. A
// text that is new or changed is translated and no more: whoever translated it has
// just handed it over, so nobody has compared it yet. A text that came back as it
// went out, and is said to be reviewed or final, is reviewed: somebody has compared
// it. None is ever final by a file: a qualified person who answers for the words on
// paper says that, in the practice's sign-off. Nor does a file lower a state: a text
// that is doubted is changed.
//
// A sentence whose source in the file is not today's is not taken, since its
// translation is of other words; it is told, and the rest is taken.
func Judge(w Work, f File) (Result, fault.List) {
	var faults fault.List
	r := Result{Messages: map[string]i18n.Message{}}
	if f.Source != w.Source.Tag || f.Target != w.Target.Tag {
		faults.Add("EXCHANGE-LANGUAGE", "", "the file is from %s into %s, not from %s into %s", safetext.Cut(f.Source), safetext.Cut(f.Target), w.Source.Tag, w.Target.Tag)
		return r, faults
	}
	var ids []string
	units := map[string]map[string]Unit{} // message -> form
	for _, u := range f.Units {
		id, form, formed := strings.Cut(u.ID, "_")
		if formed && form == "" {
			form = "_" // no form has this name
		}
		if units[id] == nil {
			units[id] = map[string]Unit{}
			ids = append(ids, id)
		}
		units[id][form] = u
	}
	r.Sentences = len(ids)
	fresh := map[string]i18n.Message{}
	for _, id := range ids {
		w.judge(&r, &faults, fresh, id, units[id])
	}
	switch {
	case len(ids) == 0:
		faults.Add("EXCHANGE-NOTHING", "", "there is no sentence in the file")
	case len(r.Gone) == len(ids):
		faults.Add("EXCHANGE-ID", "", "this program has none of the sentences in the file: it is not a file of its words, or its ids were changed")
	}
	// What is new is read again as a wording file is, and then looked at as
	// contributors' messages are.
	name := "i18n/" + w.Target.Tag + ".json"
	messages, wrong := w.Target.Parse(name, upkeep.Format(fresh))
	wrong.Append(vet.Messages(w.Target, w.English, messages, w.Allowed)...)
	for _, f := range wrong {
		id, ofOne := strings.CutPrefix(f.Path, name+":")
		if !ofOne {
			id = "$"
		}
		f.Path = id
		if what := vet.Advice(f.Code); what != "" {
			f.Text += ": " + what
		}
		if s := w.From[id].Other; s != "" && f.Code != "WORDING-NEGATION" { // that quotes it
			f.Text += "; the source is \"" + safetext.Cut(s) + "\""
		}
		faults.Append(f)
	}
	maps.Copy(r.Messages, fresh)
	if len(faults) > strict.MaxFaults {
		n := len(faults)
		faults = faults[:strict.MaxFaults]
		faults.Add("EXCHANGE-MORE", "", "there are %d faults; these are the first %d", n, strict.MaxFaults)
	}
	return r, faults
}

// Leave is Judge for what is left of a file without the sentences that have a fault,
// wrong being the faults that Read found. left are the faults of those sentences;
// what is wrong with the whole file is a fault still.
func Leave(w Work, f File, wrong fault.List) (r Result, left, faults fault.List) {
	bad := map[string]bool{}
	for {
		for _, x := range wrong {
			if x.Path == "$" {
				return Result{}, nil, append(left, wrong...)
			}
			id, _, _ := strings.Cut(x.Path, "_")
			bad[id] = true
		}
		left.Append(wrong...)
		units := slices.DeleteFunc(slices.Clone(f.Units), func(u Unit) bool {
			id, _, _ := strings.Cut(u.ID, "_")
			return bad[id]
		})
		more := len(units) < len(f.Units)
		f.Units = units
		if r, wrong = Judge(w, f); len(wrong) == 0 {
			r.Left = len(bad)
			return r, left, nil
		}
		if !more && len(left) > 0 { // a fault that names no unit of the file
			return Result{}, nil, append(left, wrong...)
		}
	}
}

// longest is a length beyond anything with safetext.MaxWording characters that a reader sees;
// it keeps one text from filling a whole wording file.
const longest = 4 * safetext.MaxWording

// judge looks at the forms of one message.
func (w Work) judge(r *Result, faults *fault.List, fresh map[string]i18n.Message, id string, units map[string]Unit) {
	if _, known := w.English[id]; !known {
		r.Gone = append(r.Gone, id)
		return
	}
	b, stale, ok := w.brought(faults, id, units)
	if stale {
		r.Stale = append(r.Stale, id)
	}
	if stale || !ok {
		return
	}
	old, had := w.To[id]
	reviewed := slices.Index(i18n.ReviewStates, i18n.Reviewed)
	switch {
	case len(b.missing) > 0:
		faults.Add("WORDING-FORM-MISSING", id, "the forms %s are not in the file: a count could then not be said; all forms of a sentence come back together", strings.Join(b.missing, ", "))
	case len(b.empty) == len(w.forms(id)):
		r.Empty++
	case len(b.empty) > 0:
		faults.Add("WORDING-FORM-MISSING", id, "the forms %s are empty: a count could then not be said; every form needs words", strings.Join(b.empty, ", "))
	case had && b.message == old && w.Stale[id] && b.state > 0:
		r.Confirmed = append(r.Confirmed, id)
		fresh[id] = b.message
	case had && b.message == old && !w.Stale[id] && b.state >= reviewed && w.States[id].State == i18n.Translated:
		r.Reviewed = append(r.Reviewed, id)
		r.Messages[id] = b.message
	case had && b.message == old:
		r.Same++
	default:
		r.Taken = append(r.Taken, id)
		if b.state == 0 {
			r.Unmarked = append(r.Unmarked, id)
		}
		fresh[id] = b.message
	}
}

// brought is one message as a file has it.
type brought struct {
	message        i18n.Message
	state          int      // the lowest state of a form, by its place in i18n.ReviewStates
	empty, missing []string // forms without words, and forms that are not in the file
}

// brought gathers the forms of one message. It reports as stale what was made for
// another source or other forms; not ok is what a fault was added for.
func (w Work) brought(faults *fault.List, id string, units map[string]Unit) (b brought, stale, ok bool) {
	forms := w.forms(id)
	for _, form := range slices.Sorted(maps.Keys(units)) {
		if u := units[form]; !slices.Contains(forms, form) {
			if slices.Contains(i18n.Categories, form) && forms[0] != "" {
				faults.Add("WORDING-FORM-UNKNOWN", u.ID, "%s has no form %s: take the unit out", w.Target.Tag, form)
				return b, false, false
			}
			return b, true, true // it has gained or lost its forms since
		}
	}
	b.state = len(i18n.ReviewStates) - 1
	for _, form := range forms {
		u, there := units[form]
		if !there {
			b.missing = append(b.missing, form)
			continue
		}
		target, current := laid(u, w.source(id, form))
		if !current {
			return b, true, true
		}
		if n := utf8.RuneCountInString(target); n > longest {
			faults.Add("WORDING-LONG", id, "the text has %d characters, more than %d: %s", n, safetext.MaxWording, vet.Advice("WORDING-LONG"))
			return b, false, false
		}
		if strings.TrimSpace(target) == "" {
			b.empty = append(b.empty, form)
		}
		b.state = min(b.state, slices.Index(i18n.ReviewStates, u.State))
		if form == "" {
			form = "other"
		}
		b.message = b.message.WithForm(form, target)
	}
	return b, false, true
}

var (
	lineBreak = regexp.MustCompile(`[ \t]*\n\s*`)
	// besideMark is a line break at an end of a text or beside a mark, without the
	// spaces before it.
	besideMark = regexp.MustCompile(`(^|\}\})\s*\n\s*|\n\s*($|\{\{)`)
)

// laid gives the translation of a unit and whether its source is the one wanted.
//
// Our sentences have no line breaks, but an editor or a library may lay out a file
// anew, and where it put its breaks is seen at the source: either it set marks on
// lines of their own, and a break beside one stands for nothing, or it broke lines at
// spaces, and every break stands for one. Where the source does not tell, the
// translation stays as it is, and its breaks will be a fault.
func laid(u Unit, want string) (target string, current bool) {
	want = words(want)
	if !strings.Contains(u.Source+u.Target, "\n") {
		return u.Target, words(u.Source) == want
	}
	apart := func(s string) string { return lineBreak.ReplaceAllString(besideMark.ReplaceAllString(s, "$1$2"), " ") }
	wrapped := func(s string) string { return strings.TrimSpace(lineBreak.ReplaceAllString(s, " ")) }
	asApart, asWrapped := apart(u.Source) == want, wrapped(u.Source) == want
	switch {
	case asApart && (!asWrapped || besideMark.MatchString(u.Source) || apart(u.Target) == wrapped(u.Target)):
		return apart(u.Target), true // a line wrapped beside a mark would have lost its space
	case asWrapped && !asApart:
		return wrapped(u.Target), true
	}
	return u.Target, asApart || words(u.Source) == want
}

// words gives a text with each run of space as one.
func words(s string) string { return strings.Join(strings.Fields(s), " ") }
