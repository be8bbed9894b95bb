// Package notes computes where each message of the sheets is read, from the sheets, mails
// and calendars of all example cases, for the notes that translators get (i18n/where.json).
package notes

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
	"plainleaf/i18n/exchange"
	"plainleaf/i18n/vet"
)

// screens starts the ids of what the practice reads, which no sheet holds.
var screens = []string{"page.", "shell.", "fault.", "record."}

// Patients lists the messages that a patient may read.
func Patients(w *i18n.Wording) []string {
	return slices.DeleteFunc(w.IDs(), func(id string) bool {
		return slices.ContainsFunc(screens, func(p string) bool { return strings.HasPrefix(id, p) })
	})
}

// Make composes the sheets of the example cases in the repository at root and gives where
// each message is read, and the messages that none of them has and that are like no other.
func Make(root string) (map[string]exchange.Where, []string, error) {
	m, err := newMaker(root)
	if err != nil {
		return nil, nil, err
	}
	cases, err := m.cases(root)
	if err != nil {
		return nil, nil, err
	}
	for _, c := range cases {
		for _, p := range m.practices {
			for _, detail := range []string{"", "words", "numbers"} {
				c.Detail = detail
				m.sheets(c, p)
			}
		}
	}
	m.paper(m.practices[0])
	if err := m.sent(cases, m.practices); err != nil {
		return nil, nil, err
	}
	return m.found, m.likes(), nil
}

type maker struct {
	base       *evidence.Base
	vocabulary casefile.Vocabulary
	words      *i18n.Wording
	practices  []casefile.Practice
	found      map[string]exchange.Where
	patterns   map[string][]pattern
}

func newMaker(root string) (*maker, error) {
	m := &maker{found: map[string]exchange.Where{}, patterns: map[string][]pattern{}}
	base, faults := content.Load()
	data, _ := i18n.Embedded(i18n.Source().Tag)
	words, more := i18n.Load(i18n.Source().Tag, data, nil)
	if faults.Append(more...); len(faults) > 0 {
		return nil, faults.Err()
	}
	m.base, m.words, m.vocabulary = base, words, base.Vocabulary(i18n.Tags(i18n.Languages()))
	err := each(filepath.Join(root, "testdata", "practice"), func(data []byte) fault.List {
		p, faults := casefile.ReadPractice(data, m.vocabulary)
		if p.Locale == i18n.Source().Tag {
			m.practices = append(m.practices, p)
		}
		return faults
	})
	if len(m.practices) == 0 && err == nil {
		err = errors.New("notes: no practice in the source language")
	}
	return m, err
}

func (m *maker) cases(root string) ([]casefile.Case, error) {
	var all []casefile.Case
	err := each(filepath.Join(root, "testdata", "cases"), func(data []byte) fault.List {
		c, faults := casefile.ReadCase(data, m.vocabulary)
		all = append(all, c)
		return faults
	})
	return all, err
}

// each reads the files of a folder, in the order of their names.
func each(folder string, read func([]byte) fault.List) error {
	files, err := filepath.Glob(filepath.Join(folder, "*.json"))
	if err != nil {
		return err
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		if faults := read(data); len(faults) > 0 {
			return errors.New(f + ": " + faults.Lines())
		}
	}
	return nil
}

// sheets notes every sheet that a case can have now.
func (m *maker) sheets(c casefile.Case, p casefile.Practice) {
	c = plan.Settled(c, p, m.base)
	pl, faults := plan.For(c, p, m.base)
	if len(faults) > 0 {
		return
	}
	for _, k := range sheet.Kinds() {
		if len(sheet.Unsettled(k, c)) > 0 {
			continue
		}
		v := &visitor{on: string(k)}
		for _, on := range [][2]string{{"en", ""}, {"es", ""}, {"es", "en"}, {"en", "es"}} {
			banners, _ := render.Policy(p, k, on[0], on[1], nil)
			v.apart = true
			for _, b := range banners {
				v.add(b, "a line above the title")
			}
		}
		v.sheet(sheet.Compose(k, c, p, pl, m.base))
		m.note(v)
	}
}

// paper notes the page that a code on paper opens, which can hold every line and sign.
func (m *maker) paper(p casefile.Practice) {
	var lines, signs []string
	for _, l := range m.base.Lines {
		lines = append(lines, l.Key)
	}
	for _, w := range m.base.Warnings {
		signs = append(signs, w.Key)
	}
	v := &visitor{on: "page"}
	told, warnings := plan.Told(m.base, lines, signs)
	v.sheet(sheet.Paper(told, warnings, p, casefile.Date{Year: 2026, Month: 11, Day: 25}, m.base.Version, m.base))
	m.note(v)
}

// note localizes what was visited and keeps what is new of it.
func (m *maker) note(v *visitor) {
	all := sheet.Sheet{Kind: sheet.Options, Title: v.uses[0].text, Issued: casefile.Date{Year: 2026, Month: 11, Day: 25},
		Content: m.base.Version, Practice: sheet.Practice{Name: "Demo", Telephone: "+1 555 0100", EmergencyLine: "+1 555 0199"}}
	for _, u := range v.uses {
		all.Blocks = append(all.Blocks, sheet.Block{Kind: sheet.Paragraph, Text: u.text})
	}
	doc, _ := render.Localize(all, m.words, render.Options{}) // what has a fault has no words, and is left out
	for i, u := range v.uses {
		if u.text.ID != "" && i < len(doc.Blocks) {
			m.keep(u, v.on, m.values(u.text.ID, doc.Blocks[i].Text.String()))
		}
	}
	for _, page := range []struct {
		as    string
		lines []render.Line
	}{
		{"in the head or foot of each page", []render.Line{doc.Page.Telephone, doc.Page.Name, doc.Page.Born, doc.Page.Chart, doc.Page.Seal, doc.Page.Version, doc.Page.Caution}},
		{"a word for a box, a line, a picture or the chart of the teeth, shown or read aloud", []render.Line{doc.Words.Empty, doc.Words.Crossed, doc.Words.Line,
			doc.Words.Right, doc.Words.Left, doc.Words.Sources, doc.Words.Identifiers}},
	} {
		for _, l := range page.lines {
			for len(l) > 0 { // a line may be of several messages
				n := slices.IndexFunc(l, func(r render.Run) bool { return r.Msg != l[0].Msg })
				if n < 0 {
					n = len(l)
				}
				if id := l[0].Msg; id != "" {
					m.keep(use{text: sheet.M(id), as: page.as}, v.on, m.values(id, l[:n].String()))
				}
				l = l[n:]
			}
		}
	}
}

// keep adds one use of a message. What is one thing, such as its neighbors, is that of
// the first use; a use as a part of another message gives way to one by itself.
func (m *maker) keep(u use, on string, values map[string]string) {
	id := u.text.ID
	w, met := m.found[id]
	w.On, w.As = joined(w.On, on), joined(w.As, u.as)
	switch {
	case u.in != "" && len(w.In) < 3:
		w.In = joined(w.In, u.in)
	case u.in != "":
	case !met || w.Before+w.After+w.Under == "":
		w.Under, w.Column, w.Row, w.Before, w.After = u.under, u.column, u.row, u.before, u.after
	}
	for name, value := range values {
		if w.Values == nil {
			w.Values = map[string]string{}
		}
		if w.Values[name] == "" {
			w.Values[name] = value
		}
	}
	m.found[id] = w
}

// joined adds a word to a sorted list that has it not.
func joined(list []string, word string) []string {
	if i, has := slices.BinarySearch(list, word); !has && word != "" {
		return slices.Insert(slices.Clone(list), i, word)
	}
	return list
}

// pattern reads the values out of one form of a message.
type pattern struct {
	names []string
	of    *regexp.Regexp
}

var placeholder = regexp.MustCompile(`\{\{\.([A-Za-z0-9]+)\}\}`)

// values finds the value of each placeholder in a message that was written out.
func (m *maker) values(id, text string) map[string]string {
	all, made := m.patterns[id]
	if !made {
		for _, c := range i18n.Categories {
			form := m.words.Source(id).Form(c)
			if form == "" {
				continue
			}
			p := pattern{}
			expr, from := "^", 0
			for _, at := range placeholder.FindAllStringSubmatchIndex(form, -1) {
				expr += regexp.QuoteMeta(form[from:at[0]]) + "(.+?)"
				p.names, from = append(p.names, form[at[2]:at[3]]), at[1]
			}
			p.of = regexp.MustCompile("(?s)" + expr + regexp.QuoteMeta(form[from:]) + "$")
			all = append(all, p)
		}
		m.patterns[id] = all
	}
	for _, p := range all {
		if found := p.of.FindStringSubmatch(text); found != nil && len(p.names) > 0 {
			out := map[string]string{}
			for i, name := range p.names {
				out[name] = shortened(found[i+1])
			}
			return out
		}
	}
	return nil
}

func shortened(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// single are the starts of ids that are no family of the data.
var single = []string{"sheet", "mail", "calendar", "banner", "furniture", "print"}

// likes gives each message that was not met the place of another of its family, the same
// but for one word of the id, and returns those that have none.
func (m *maker) likes() []string {
	met := slices.Sorted(maps.Keys(m.found))
	var lost []string
	for _, id := range Patients(m.words) {
		if _, ok := m.found[id]; ok {
			continue
		}
		words := strings.Split(id, ".")
		like := ""
		if !slices.Contains(single, words[0]) {
			i := slices.IndexFunc(met, func(other string) bool { return alike(words, strings.Split(other, ".")) })
			if i >= 0 {
				like = met[i]
			}
		}
		if like == "" {
			lost = append(lost, id)
			continue
		}
		m.found[id] = exchange.Where{Like: like}
	}
	return lost
}

// alike reports whether two ids are of one family of the data: risk.chip.often and
// risk.loss.often.
func alike(a, b []string) bool {
	if len(a) != len(b) || len(a) < 2 || a[0] != b[0] {
		return false
	}
	if len(a) == 2 {
		return true
	}
	return slices.Equal(a[2:], b[2:])
}

// Unnoted are those of some messages that no note of a person is about, apart from one
// for all that start with the same word.
func Unnoted(ids []string, notes map[string]string) []string {
	return slices.DeleteFunc(slices.Clone(ids), func(id string) bool {
		word, _, _ := strings.Cut(id, ".")
		if word != "sheet" {
			return vet.Under(notes, id) != ""
		}
		own := maps.Clone(notes)
		delete(own, word)
		return vet.Under(own, id) != ""
	})
}

// inputs are what the flow makes mails and calendars of.
func (m *maker) inputs(c casefile.Case, p casefile.Practice, k sheet.Kind) produce.Input {
	tag := i18n.Source().Tag
	return produce.Input{Case: c, Practice: p, Base: m.base, Kind: k, Locale: tag,
		States:  func(string) map[string]i18n.State { return nil },
		Wording: func(string) (*i18n.Wording, fault.List) { return m.words, nil }}
}
