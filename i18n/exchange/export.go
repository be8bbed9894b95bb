//go:build !js

package exchange

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/fault"
	"plainleaf/i18n"
	"plainleaf/i18n/vet"
)

const (
	namespace = "urn:oasis:names:tc:xliff:document:2.0"
	// stale is the subState of a text whose source has changed since.
	stale = "plainleaf:stale"
)

// Only lists what may be chosen to go out: all; new, what has no text or a stale one;
// unreviewed, what nobody has reviewed; own, what the practice worded itself.
var Only = []string{"all", "new", "unreviewed", "own"}

// Choice narrows a file down.
type Choice struct {
	Only string // one of Only
	Part string // one of Parts, "" for all
}

// has reports whether a message is chosen.
func (w Work) has(id string, c Choice) bool {
	at := placeOf(id)
	if c.Part != "" && (at.section == len(ordered().Sections) || ordered().Sections[at.section].Part != c.Part) {
		return false
	}
	switch c.Only {
	case "new":
		return w.state(id) == i18n.Initial
	case "unreviewed":
		return slices.Index(i18n.ReviewStates, w.state(id)) < slices.Index(i18n.ReviewStates, i18n.Reviewed)
	case "own":
		return w.Own[id]
	}
	return true
}

// Export writes the file for the translator.
func Export(w Work, c Choice) ([]byte, fault.List) {
	var faults fault.List
	b := &writer{}
	b.line(0, `<?xml version="1.0" encoding="UTF-8"?>`)
	b.line(0, `<xliff xmlns="%s" version="2.0" srcLang="%s" trgLang="%s" xml:space="preserve">`, namespace, w.Source.Tag, w.Target.Tag)
	b.line(1, `<file id="plainleaf" original="plainleaf" canResegment="no" srcDir="%s" trgDir="%s">`, w.Source.Dir, w.Target.Dir)
	b.line(2, `<notes>`)
	for _, n := range ordered().About {
		b.line(3, `<note category="about">%s</note>`, escaped(n))
	}
	b.line(2, `</notes>`)
	open, written := -1, 0
	for _, id := range w.IDs() {
		if !w.has(id, c) {
			continue
		}
		if at := placeOf(id).section; at != open {
			if open >= 0 {
				b.line(2, `</group>`)
			}
			open = at
			name := "rest"
			if at < len(ordered().Sections) {
				name = ordered().Sections[at].Name
			}
			b.line(2, `<group id="section-%s" name="%s">`, name, name)
		}
		w.message(b, id)
		written++
	}
	if written == 0 {
		faults.Add("EXCHANGE-NOTHING", "", "there is nothing to translate: no sentence is among those asked for")
		return nil, faults
	}
	b.line(2, `</group>`)
	b.line(1, `</file>`)
	b.line(0, `</xliff>`)
	if b.Len() > MaxBytes {
		faults.Add("EXCHANGE-SIZE", "", "the file would have %d bytes and could not be read back; at most %d: ask for a part of it", b.Len(), MaxBytes)
		return nil, faults
	}
	return []byte(b.String()), faults
}

type writer struct{ strings.Builder }

func (b *writer) line(depth int, format string, a ...any) {
	fmt.Fprintf(b, strings.Repeat(" ", depth)+format+"\n", a...)
}

func (w Work) message(b *writer, id string) {
	forms := w.forms(id)
	if forms[0] == "" {
		w.unit(b, 3, id, "")
		return
	}
	b.line(3, `<group id="forms-%s" name="%s">`, id, id)
	b.line(4, `<notes>`)
	b.line(5, `<note>One sentence in %d forms; the count decides which is read, and all are needed.</note>`, len(forms))
	b.line(4, `</notes>`)
	for _, form := range forms {
		w.unit(b, 4, id, form)
	}
	b.line(3, `</group>`)
}

func (w Work) unit(b *writer, depth int, id, form string) {
	source, target := w.source(id, form), w.target(id, form)
	b.line(depth, `<unit id="%s" name="%s">`, unitID(id, form), unitID(id, form))
	b.line(depth+1, `<notes>`)
	for _, n := range w.notes(id, form) {
		b.line(depth+2, `<note category="%s">%s</note>`, n[0], escaped(n[1]))
	}
	b.line(depth+1, `</notes>`)
	names := w.names(id)
	if len(names) > 0 {
		b.line(depth+1, `<originalData>`)
		for _, name := range names {
			b.line(depth+2, `<data id="%s">{{.%s}}</data>`, name, name)
		}
		b.line(depth+1, `</originalData>`)
	}
	state := fmt.Sprintf(`state="%s"`, w.state(id))
	if w.Stale[id] && target != "" {
		state += fmt.Sprintf(` subState="%s"`, stale)
	}
	b.line(depth+1, `<segment %s>`, state)
	b.line(depth+2, `<source>%s</source>`, w.inline(source, form))
	if target != "" {
		b.line(depth+2, `<target>%s</target>`, w.inline(target, form))
	}
	b.line(depth+1, `</segment>`)
	b.line(depth, `</unit>`)
}

// notes are what a translator is told of one form of a message, each with its category.
func (w Work) notes(id, form string) [][2]string {
	var all [][2]string
	add := func(category, n string) {
		if n != "" {
			all = append(all, [2]string{category, n})
		}
	}
	if w.Stale[id] && w.target(id, form) != "" {
		add("stale", "The source sentence was changed after this translation was made.")
	}
	add("where", note(id))
	add("place", w.place(id))
	if form != "" {
		add("form", w.about(form))
	}
	if reason := vet.Under(w.Allowed, id); reason != "" {
		add("number", "A number in these words stays as it is: "+reason)
	}
	for _, name := range w.names(id) {
		p, _ := i18n.LookupPlaceholder(name)
		n := fmt.Sprintf("[%s] %s", name, p.Note)
		if held := example(id, name); held != "" {
			n += "; for example: " + held
		}
		if p.Kind == "count" && w.single(form) {
			n += "; in this form it may be left out, with the count said in words"
		}
		add("value", n)
	}
	return all
}

// names lists the values of a message, over its source and its text: a form without
// the count names it too.
func (w Work) names(id string) []string {
	names := w.From[id].Placeholders()
	if w.fits(id) {
		names = append(names, w.To[id].Placeholders()...)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// about tells a translator what a plural form is for.
func (w Work) about(form string) string {
	found := counts(w.Target)[form]
	switch {
	case len(found) == 0:
		return "Form " + form + ": for a count that seldom comes up; the words of the form other will do."
	case w.single(form):
		return "Form " + form + ": only for the count " + found[0] + "."
	case form == "other":
		return "Form other: for counts such as " + strings.Join(found, ", ") + ", and for all that no other form is for."
	}
	return "Form " + form + ": for counts such as " + strings.Join(found, ", ") + "."
}

func unitID(id, form string) string {
	if form == "" {
		return id
	}
	return id + "_" + form
}

// inline writes a text with its values as protected marks.
func (w Work) inline(s, form string) string {
	var b strings.Builder
	times := map[string]int{}
	for {
		i := strings.Index(s, "{{.")
		if i < 0 {
			b.WriteString(escaped(s))
			return b.String()
		}
		j := i + strings.Index(s[i:], "}}")
		name := s[i+3 : j]
		b.WriteString(escaped(s[:i]))
		s = s[j+2:]
		times[name]++
		mark := name
		if times[name] > 1 {
			mark = fmt.Sprintf("%s-%d", name, times[name])
		}
		keep := ` canDelete="no"`
		p, _ := i18n.LookupPlaceholder(name)
		if p.Kind == "count" && w.single(form) {
			keep = ""
		}
		fmt.Fprintf(&b, `<ph id="%s"%s dataRef="%s" disp="[%s]" equiv="%s" type="other" subType="plainleaf:%s"/>`, mark, keep, name, name, name, p.Kind)
	}
}

var escaping = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

func escaped(s string) string { return escaping.Replace(s) }
