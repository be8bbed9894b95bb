//go:build !js

package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/i18n"
	"plainleaf/i18n/exchange"
	"plainleaf/i18n/upkeep"
)

// exported is what is asked of an export to a translator.
type exported struct{ locale, source, practice, only, part, file string }

func exportWords(f *flag.FlagSet) action {
	var e exported
	f.StringVar(&e.locale, "locale", "", "`language` to translate into (required); also one that the program does not speak yet")
	f.StringVar(&e.source, "source", "", "`language` to translate from, with -practice; English without it")
	f.StringVar(&e.practice, "practice", "", "practice `file` whose own sentences are laid over the program's")
	f.StringVar(&e.only, "only", "all", "all, new (no text yet, or its source has changed), unreviewed, or own (sentences of the practice's own)")
	f.StringVar(&e.part, "part", "", "sheets (what a patient reads) or screens; both without it")
	f.StringVar(&e.file, "out", "", "`file` to write instead of standard output")
	return e.write
}

// languages gives the two languages of an export, or the exit code for wrong usage.
func (e *exported) languages(c *call) (from, into i18n.Language, code int) {
	from = i18n.Source()
	if e.source != "" {
		if code := c.speaks(e.source); code != good {
			return from, into, code
		}
		from, _ = i18n.Lookup(e.source)
	}
	into, ok := language(e.locale)
	switch {
	case len(c.args) > 0:
		code = c.unexpected()
	case e.locale == "":
		code = c.wrong("-locale is required")
	case !ok:
		code = c.wrong("%q is no language tag that plural rules are known for (CLDR), such as pl or pt-BR", e.locale)
	case from.Tag == into.Tag:
		code = c.wrong("-locale %s is the language that is translated from", into.Tag)
	case from.Tag != i18n.Source().Tag && e.practice == "":
		code = c.wrong("-source is for the sentences of a practice; the program's own are translated from %s", i18n.Source().Tag)
	case !slices.Contains(exchange.Only, e.only):
		code = c.wrong("-only %q is not one of %v", e.only, exchange.Only)
	case e.only == "own" && e.practice == "":
		code = c.wrong("-only own needs -practice")
	case e.part != "" && !slices.Contains(exchange.Parts, e.part):
		code = c.wrong("-part %q is not one of %v", e.part, exchange.Parts)
	}
	return from, into, code
}

func (e *exported) write(c *call) int {
	from, into, code := e.languages(c)
	if code != good {
		return code
	}
	if in := replaced([]string{e.file}, []string{e.practice}); in != "" {
		return c.wrong("-out would replace what is read, %s", in)
	}
	w, faults := embeddedWork(from, into)
	if e.practice != "" && len(faults) == 0 {
		var p casefile.Practice
		if p, _, faults = readPractice(e.practice); len(faults) == 0 {
			w = withOwn(w, p)
			if own := len(p.Wordings[p.Locale]); own > 0 && p.Locale != from.Tag && p.Locale != into.Tag {
				fmt.Fprintf(c.errw, "note: the practice has %s of its own in %s; -source %s translates from %s\n",
					count(own, "sentence", "sentences"), p.Locale, p.Locale, plural(own, "that", "those"))
			}
		}
	}
	var data []byte
	if len(faults) == 0 {
		data, faults = exchange.Export(w, exchange.Choice{Only: e.only, Part: e.part})
	}
	if len(faults) > 0 {
		return refuse(c.errw, faults)
	}
	switch into.Tier {
	case i18n.Parked:
		fmt.Fprintf(c.errw, "note: %s is parked, it is not offered for now; contributors can take the file (DEVELOPERS.md), a practice cannot\n", into.Tag)
	case "":
		fmt.Fprintf(c.errw, "note: the program does not speak %s yet; the file can be translated and checked, and contributors add the language (DEVELOPERS.md) before it can be taken\n", into.Tag)
	}
	return c.put(e.file, data, general)
}

// language finds a language, one that the program knows, parked or not, or another.
func language(tag string) (i18n.Language, bool) {
	if l, ok := i18n.Known(tag); ok {
		return l, true
	}
	return i18n.Other(tag)
}

// embeddedWork is the wordings of the program itself.
func embeddedWork(from, into i18n.Language) (exchange.Work, fault.List) {
	var faults fault.List
	read := func(l i18n.Language) map[string]i18n.Message {
		data, ok := i18n.Embedded(l.Tag)
		if !ok {
			return map[string]i18n.Message{}
		}
		messages, f := l.Parse("i18n/"+l.Tag+".json", data)
		if l.Tier != i18n.Parked { // nobody keeps those in step: what no longer fits is new
			faults.Append(f...)
		}
		return messages
	}
	return exchange.New(from, into, read(i18n.Source()), read(from), read(into), i18n.States(into.Tag)), faults
}

// readPractice gives a practice and the bytes of its file.
func readPractice(name string) (p casefile.Practice, data []byte, faults fault.List) {
	d, faults := openDesk("")
	if len(faults) > 0 {
		return p, nil, faults
	}
	return d.readPractice(name)
}

// withOwn lays a practice's own sentences over the work, those that the program has.
func withOwn(w exchange.Work, p casefile.Practice) exchange.Work {
	own := func(tag string) map[string]i18n.Message {
		all := produce.Overrides(p, tag)
		maps.DeleteFunc(all, func(id string, _ i18n.Message) bool { _, known := w.English[id]; return !known })
		return all
	}
	made := map[string]string{}
	for id, from := range p.WordingSources[w.Target.Tag] {
		made[id], _ = from.(string)
	}
	return w.WithOwn(own(i18n.Source().Tag), own(w.Source.Tag), own(w.Target.Tag), made)
}

// imported is what is asked of an import of what a translator sent back.
type imported struct {
	practice, file, dir, who, when string
	check, leave                   bool
	f                              *flag.FlagSet
}

func importWords(f *flag.FlagSet) action {
	m := imported{f: f}
	f.StringVar(&m.practice, "practice", "", "practice `file` to lay the sentences into; the result is a practice file")
	f.StringVar(&m.file, "out", "", "practice `file` to write instead of standard output")
	f.StringVar(&m.dir, "dir", "i18n", "for contributors: `folder` of the wordings in the program's source")
	f.StringVar(&m.who, "who", "translator", "for contributors: `role` of who made the translation")
	f.StringVar(&m.when, "when", time.Now().Format(time.DateOnly), "for contributors: `date` of the change")
	f.BoolVar(&m.check, "check", false, "only say what the file would bring")
	f.BoolVar(&m.leave, "leave", false, "leave and name the sentences that have a fault, and take the others")
	return m.take
}

// given reports whether any of some flags was written.
func (m *imported) given(names ...string) (was bool) {
	m.f.Visit(func(x *flag.Flag) { was = was || slices.Contains(names, x.Name) })
	return was
}

// wrong gives good, or the exit code for wrong usage.
func (m *imported) wrong(c *call) int {
	switch {
	case len(c.args) != 1:
		return c.wrong("name the one file that came back, or - for standard input")
	case m.practice != "" && m.given("dir", "who", "when"):
		return c.wrong("-dir, -who and -when are for the program's own wordings, not for -practice")
	case m.given("out") && (m.practice == "" || m.check):
		return c.wrong("-out is for the practice file that -practice makes")
	}
	if _, err := time.Parse(time.DateOnly, m.when); err != nil {
		return c.wrong("-when is a date such as 2026-11-25")
	}
	if m.practice == "" && (!m.check || m.given("dir")) {
		if _, err := os.Stat(filepath.Join(m.dir, "languages.json")); err != nil {
			return c.wrong("%s is no folder of wordings: name the practice's file with -practice, or the program's folder i18n with -dir", m.dir)
		}
	}
	if read := replaced([]string{m.file}, []string{c.args[0], m.practice}); read != "" {
		return c.wrong("-out would replace what is read, %s", read)
	}
	return good
}

func (m *imported) take(c *call) int {
	if code := m.wrong(c); code != good {
		return code
	}
	read, wronged := readExchange(c.args[0], c.in)
	if len(wronged) > 0 && (!m.leave || wholeFile(wronged)) {
		return refuse(c.errw, wronged)
	}
	var faults fault.List
	from, spoken := i18n.Lookup(read.Source)
	into, ok := language(read.Target)
	switch {
	case !spoken || m.practice == "" && from.Tag != i18n.Source().Tag:
		faults.Add("EXCHANGE-LANGUAGE", "srcLang", "the file is translated from %q; that can be taken from %s, with -practice also from %s", read.Source, i18n.Source().Tag, strings.Join(i18n.Tags(i18n.Languages())[1:], ", "))
	case !ok || from.Tag == into.Tag:
		faults.Add("EXCHANGE-LANGUAGE", "trgLang", "%q is no language to translate into here", read.Target)
	case into.Tier == i18n.Parked && m.practice != "":
		faults.Add("LANGUAGE-PARKED", "trgLang", "%s (%s) is parked, nothing is printed in it for now, so a practice takes no sentences in it: keep the file until the language is offered again", into.Name, into.Tag)
	case into.Tier == "" && !m.check:
		faults.Add("EXCHANGE-LANGUAGE", "trgLang", "the program does not speak %s yet, so nothing can be printed in it: keep the file, read it with -check, and ask a contributor to add the language (DEVELOPERS.md)", into.Tag)
	}
	if len(faults) > 0 {
		return refuse(c.errw, faults)
	}
	t := taking{call: c, who: m.who, when: m.when, folder: upkeep.Folder(m.dir), leave: m.leave, wrong: wronged}
	if m.practice != "" {
		return t.practice(read, from, into, m.practice, m.file, m.check)
	}
	return t.source(read, from, into, m.check, m.given("dir") || !m.check)
}

func readExchange(name string, in io.Reader) (exchange.File, fault.List) {
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return exchange.File{}, fault.List{fault.New("FILE-READ", "", "%v", err)}
		}
		defer f.Close()
		in = f
	}
	data, faults := exchange.ReadFrom(in)
	if len(faults) > 0 {
		return exchange.File{}, faults
	}
	return exchange.Read(data)
}

// taking is one import.
type taking struct {
	*call
	who, when string
	folder    upkeep.Folder
	leave     bool
	wrong     fault.List // of the file's sentences, which are left
}

// wholeFile reports whether a fault is none of a single sentence.
func wholeFile(faults fault.List) bool {
	return slices.ContainsFunc(faults, func(f fault.Fault) bool { return f.Path == "$" })
}

// judge says what a file brings, with the faults of what is left as notes.
func (t taking) judge(w exchange.Work, f exchange.File) (exchange.Result, fault.List) {
	if !t.leave {
		return exchange.Judge(w, f)
	}
	r, left, faults := exchange.Leave(w, f, t.wrong)
	mention(t.errw, left)
	return r, faults
}

// source takes a file into the program's own wordings, in the folder or, to check
// only, as they are built in.
func (t taking) source(f exchange.File, from, into i18n.Language, check, onDisk bool) int {
	w, faults := embeddedWork(from, into)
	if len(faults) > 0 {
		return refuse(t.errw, faults)
	}
	if onDisk {
		english, _, err := t.folder.Read(from)
		to, states, err2 := t.folder.Read(into)
		if err := errors.Join(err, err2); err != nil {
			return t.unwritten(err)
		}
		w = exchange.New(from, into, english, english, to, states)
	}
	r, faults := t.judge(w, f)
	if len(faults) > 0 {
		return refuse(t.errw, faults)
	}
	// Whoever translated a text does not review it too.
	own := func(id string) bool { return w.States[id].Who == t.who }
	twice := len(r.Reviewed)
	r.Reviewed = slices.DeleteFunc(r.Reviewed, own)
	twice -= len(r.Reviewed)
	r.Same += twice
	if !check && len(r.Taken)+len(r.Confirmed)+len(r.Reviewed) > 0 {
		hashes := map[string]string{}
		for id := range r.Messages {
			hashes[id] = i18n.Hash(w.English[id])
		}
		_, faults, err := t.folder.Merge(into.Tag, upkeep.Format(r.Messages), upkeep.Change{Who: t.who, When: t.when, Sources: hashes, Reviewed: r.Reviewed})
		switch {
		case err != nil:
			return t.unwritten(err)
		case len(faults) > 0:
			return refuse(t.errw, faults)
		}
	}
	lines := t.report(w, r, check)
	if twice > 0 {
		lines = append(lines, fmt.Sprintf("%6d said to be reviewed %s translated: %s translated %s; name with -who another role that did the review",
			twice, plural(twice, "stays", "stay"), t.who, plural(twice, "it", "them")))
	}
	t.tell(lines, check)
	return good
}

// practice lays a file into a practice's own sentences.
func (t taking) practice(f exchange.File, from, into i18n.Language, name, file string, check bool) int {
	p, data, faults := readPractice(name)
	if len(faults) > 0 {
		return refuse(t.errw, faults)
	}
	shipped, faults := embeddedWork(from, into)
	if len(faults) > 0 {
		return refuse(t.errw, faults)
	}
	w := withOwn(shipped, p)
	r, faults := t.judge(w, f)
	if len(faults) > 0 {
		return refuse(t.errw, faults)
	}
	r.Same += len(r.Reviewed) // a practice says so in its sign-off, sheet by sheet
	r.Reviewed = nil
	before, words := p, digest(p, into.Tag)
	if len(r.Taken)+len(r.Confirmed) > 0 {
		p.Wordings, p.WordingSources = maps.Clone(p.Wordings), maps.Clone(p.WordingSources)
		own, made := mapOf(&p.Wordings, into.Tag), mapOf(&p.WordingSources, into.Tag)
		for _, id := range slices.Concat(r.Taken, r.Confirmed) {
			if m := r.Messages[id]; m == shipped.To[id] && !shipped.Stale[id] && !ownHas(p, from.Tag, id) {
				delete(own, id) // the program's own sentence again
				delete(made, id)
			} else {
				own[id], made[id] = produce.Sentence(m), w.MadeFrom(id)
			}
		}
		drop(&p.Wordings, into.Tag)
		drop(&p.WordingSources, into.Tag)
		p = produce.Succeed(before, p, newest)
		var err error
		if data, err = casefile.WritePractice(p); err != nil {
			return refuse(t.errw, fault.List{fault.New("FILE-WRITE", file, "the practice file could not be read again: %v", err)})
		}
		if _, faults := wordings(p)(into.Tag); len(faults) > 0 {
			return refuse(t.errw, faults)
		}
	}
	lines := t.report(w, r, check)
	if digest(p, into.Tag) != words {
		lines = append(lines, unsigned(p, into.Tag)...)
	}
	if !check {
		if code := t.put(file, data, general); code != good {
			return code
		}
	}
	t.tell(lines, check)
	return good
}

// mapOf gives a copy of the map of a language, put in its place.
func mapOf(all *map[string]map[string]any, tag string) map[string]any {
	if *all == nil {
		*all = map[string]map[string]any{}
	}
	own := maps.Clone((*all)[tag])
	if own == nil {
		own = map[string]any{}
	}
	(*all)[tag] = own
	return own
}

// drop takes out the map of a language that has nothing in it.
func drop(all *map[string]map[string]any, tag string) {
	if len((*all)[tag]) == 0 {
		delete(*all, tag)
	}
}

// ownHas reports whether a practice words a message itself.
func ownHas(p casefile.Practice, tag, id string) bool {
	_, own := p.Wordings[tag][id]
	return own
}

// newest is a language with the practice's own sentences as they now are, nil without it.
func newest(p casefile.Practice, tag string) *i18n.Wording {
	data, _ := i18n.Embedded(tag)
	w, _ := produce.Newest(p, tag, data)
	return w
}

// digest is that of the newest words of a language's sheets, "" where there are none.
func digest(p casefile.Practice, tag string) string {
	if w := newest(p, tag); w != nil {
		return render.Digest(w)
	}
	return ""
}

// unsigned says what the change of a language's words means for its sign-offs.
func unsigned(p casefile.Practice, tag string) []string {
	var who []string
	for _, s := range p.SignOffs {
		if s.Locale == tag && !slices.Contains(who, s.Who) {
			who = append(who, s.Who)
		}
	}
	switch {
	case len(who) > 0:
		lines := []string{fmt.Sprintf("The words of sheets in %s were signed off by %s before this change: have them read and signed off again.", tag, strings.Join(who, ", "))}
		if n := len(p.InService[tag]); n > 0 {
			lines = append(lines, fmt.Sprintf("Until then sheets print %s approved.", count(n, "sentence as it was", "sentences as they were")))
		}
		return lines
	case tag == p.Locale:
		return []string{fmt.Sprintf("Sheets in %s have no sign-off yet: they are printed with a banner that says so.", tag)}
	}
	return []string{fmt.Sprintf("Sheets in %s have no sign-off: they are printed beside %s, with a banner, until a qualified person has signed them off.", tag, p.Locale)}
}

// report says in plain words what a file brings, and what to do about the rest.
func (t taking) report(w exchange.Work, r exchange.Result, check bool) []string {
	var notes fault.List
	for _, id := range r.Stale {
		notes.Add("EXCHANGE-STALE", id, "the source sentence is another since the file was made; not taken")
	}
	for _, id := range r.Gone {
		notes.Add("EXCHANGE-GONE", id, "this version of the program has no such sentence; not taken")
	}
	mention(t.errw, notes)
	did := "taken"
	if check {
		did = "would be taken"
	}
	lines := []string{fmt.Sprintf("%s, translated from %s: %s in the file", w.Target.Tag, w.Source.Tag, count(r.Sentences+r.Left, "sentence", "sentences"))}
	say := func(n int, one, more string) {
		if n > 0 {
			lines = append(lines, fmt.Sprintf("%6d %s", n, plural(n, one, more)))
		}
	}
	same := func(n int, text string) { say(n, text, text) }
	same(len(r.Taken), did+": new or changed words")
	say(len(r.Unmarked), "of these is not marked as done in the file: ask the translator whether it is",
		"of these are not marked as done in the file: ask the translator whether they are")
	say(len(r.Confirmed), did+" as it stands: its source had changed, and the translator says it still fits",
		did+" as they stand: their source had changed, and the translator says they still fit")
	same(len(r.Reviewed), did+" as reviewed: words as before")
	say(r.Same, "as it was before", "as they were before")
	same(r.Empty, "not taken: no translation yet")
	say(r.Left, "not taken: it has a fault; send the lines about it to the translator",
		"not taken: they have a fault; send the lines about them to the translator")
	say(len(r.Stale), "not taken: the source sentence has changed since the file was made; export it again with -only new and have it translated",
		"not taken: the source sentence has changed since the file was made; export these again with -only new and have them translated")
	same(len(r.Gone), "not taken: the program no longer has the sentence; nothing to do")
	return lines
}

// tell writes the report: the result of a check, else beside the result.
func (t taking) tell(lines []string, check bool) {
	to := t.errw
	if check {
		to = t.out
	}
	for _, l := range lines {
		fmt.Fprintln(to, l)
	}
}

func (t taking) unwritten(err error) int {
	if at := (*fs.PathError)(nil); errors.As(err, &at) {
		return refuse(t.errw, fault.List{unwritten(at.Path, err)})
	}
	return refuse(t.errw, fault.List{fault.New("FILE-WRITE", string(t.folder), "%v", err)})
}
