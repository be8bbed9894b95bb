// Package state holds what the screens show and change, in three types. Draft is the
// open case, Practice what the practice set, Signing what was signed and sealed.
// Signing reads the other two, Draft reads Practice, Practice knows neither. The
// package knows no browser, no clock and no words. Every edit is a method; nothing
// typed is ever dropped because it is wrong: it stays with its fault until it is
// mended or cleared.
package state

import (
	"cmp"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

// Draft is the open case, half entered as it may be, and who it is for on paper. Its
// edits are methods of its parts: Languages, Mouth, Way, Patient, Consent, Chair, Visits,
// Paper and File.
type Draft struct {
	base     *evidence.Base
	words    casefile.Vocabulary
	practice *Practice // its values are planned with
	today    casefile.Date
	screen   string // language of the screen

	value         // what an undo brings back
	past     past // what it brings back next
	editing  int  // edits that have begun and not ended
	person   Person
	print    Print
	pending  map[string]string // what was typed and not added to the case yet, by field
	caseFile *Rejected         // a case file that could not be read; nil for none
	handed   bool              // something to be signed was printed or saved
	fixed    int               // events that a file or a seal has: taken back, never out

	edits   int // counts what changes the case
	papers  int // counts what else changes a sheet
	planned int // edits, the practice's too, when plan and faults were computed
	plan    *plan.Plan
	faults  fault.List
}

func newDraft(base *evidence.Base, words casefile.Vocabulary, practice *Practice, today casefile.Date, lang string) *Draft {
	d := &Draft{base: base, words: words, practice: practice, today: today, screen: lang}
	d.print = Print{Kind: sheet.Options, Paper: "a4"}
	d.blank("")
	return d
}

func (d *Draft) blank(numbering string) {
	d.value = value{c: casefile.Case{Version: casefile.CaseVersion, Issued: d.today, Start: d.today, Locale: d.screen, Numbering: numbering},
		typed: texts{}, dropped: map[casefile.Tooth]casefile.ToothEntry{}, again: map[string]bool{}}
	d.past = past{}
	d.person = Person{}
	d.caseFile = nil
	d.handed, d.pending = false, nil
	d.fixed = 0
	d.plan, d.faults = nil, nil
	d.changed()
}

// Languages is the language of the screen and those of the sheets.
func (d *Draft) Languages() Languages { return Languages{d} }

// Mouth is the chosen teeth and what was found.
func (d *Draft) Mouth() Mouth { return Mouth{d} }

// Way is the chosen route with its material and shades, and what is said for it.
func (d *Draft) Way() Way { return Way{d} }

// Patient is what the patient wants, asks and understands, and who decides.
func (d *Draft) Patient() Patient { return Patient{d} }

// Consent is what is settled before a yes, and the yes on paper.
func (d *Draft) Consent() Consent { return Consent{d} }

// Chair is the answers to chair changes, the try-in and what was done.
func (d *Draft) Chair() Chair { return Chair{d} }

// Visits is the visits of the plan and the days agreed for them.
func (d *Draft) Visits() Visits { return Visits{d} }

// Paper is who the case is for on paper, and what was handed out.
func (d *Draft) Paper() Paper { return Paper{d} }

// File is the case as a file, and one that could not be read.
func (d *Draft) File() File { return File{d} }

// Case returns the case. What it points to is not to be changed.
func (d *Draft) Case() casefile.Case { return d.c }

// Base is the clinical evidence that plans rest on.
func (d *Draft) Base() *evidence.Base { return d.base }

// Words is the vocabulary of case and practice files.
func (d *Draft) Words() casefile.Vocabulary { return d.words }

// Today is the day of the screen.
func (d *Draft) Today() casefile.Date { return d.today }

// Pending is what was typed and not added to the case yet, by field.
func (d *Draft) Pending() map[string]string { return d.pending }

// SetPending keeps what was typed and not added to the case yet.
func (d *Draft) SetPending(texts map[string]string) { d.pending = texts }

// clear makes ready for the next patient. The practice, the screen's language
// and the way teeth are numbered stay; nothing of the case does.
func (d *Draft) clear() {
	d.print.Kind = sheet.Options
	d.print.Large = false
	d.blank(cmp.Or(d.practice.own.Numbering, d.c.Numbering))
}

func (d *Draft) changed() { d.edits++ }

// Edits counts the changes so far, the practice's too. A sheet made at the same count is
// still the one that would be made now.
func (d *Draft) Edits() int { return d.edits + d.papers + d.practice.edits }

// Started reports whether anything has been entered that clearing would lose.
//
// Complexity: one condition a field, in one list that can be compared with the types.
//
//gocyclo:ignore
func (d *Draft) Started() bool {
	c := d.c
	return len(c.Teeth) > 0 || len(c.Findings) > 0 || c.Route != "" || c.Material != "" ||
		c.TargetShade != "" || c.ShadeNote != "" || c.UnderlyingShade != "" || c.Second != "" || c.People != nil || len(c.Priorities) > 0 ||
		len(c.Answers) > 0 || c.Advice != nil || c.ID != "" || c.Wish != "" || c.Detail != "" ||
		len(c.Questions) > 0 || len(c.Events) > 0 || c.Agreed != nil || c.Stage != "" || len(c.Visits) > 0 ||
		d.person != Person{} || d.caseFile != nil || len(d.typed) > 0
}

// upToDate reports whether plan and faults belong to the case as it is.
func (d *Draft) upToDate() bool { return d.editing == 0 && d.planned == d.edits+d.practice.edits }

// renew computes the plan and the faults once after an edit.
func (d *Draft) renew() {
	if d.upToDate() {
		return
	}
	d.planned = d.edits + d.practice.edits
	d.plan = nil
	d.faults = d.c.Check(d.words)
	if len(d.faults) == 0 {
		d.plan, d.faults = compute(d.c, d.practice.file, d.base)
	}
	d.faults = append(d.faults, d.practice.waiting()...)
	for path, text := range d.typed {
		if path == advisedPath || path == advicePath {
			continue // an advice that is not whole is none yet
		}
		d.faults = slices.DeleteFunc(d.faults, func(f fault.Fault) bool { return f.Path == path })
		d.faults = append(d.faults, typedFault(path, text))
	}
	d.faults = d.faults.Sorted()
}

// Plan returns the plan of the case; nil while the case has faults that leave nothing
// to plan.
func (d *Draft) Plan() *plan.Plan { d.renew(); return d.plan }

// Faults lists what is wrong with the case, by path.
func (d *Draft) Faults() fault.List { d.renew(); return d.faults }

// FaultsAt lists the faults of one field, and of anything inside it.
func (d *Draft) FaultsAt(path string) fault.List {
	var out fault.List
	for _, f := range d.Faults() {
		if f.Path == path || strings.HasPrefix(f.Path, path+".") || strings.HasPrefix(f.Path, path+"[") {
			out = append(out, f)
		}
	}
	return out
}

// Typed returns what a field shows: the text as typed while it cannot be read, else
// the value.
func (d *Draft) Typed(path, value string) string { return d.typed.or(path, value) }

// SetDate sets issued or start. Text that is not a date stays in the field.
func (d *Draft) SetDate(path, text string) {
	defer d.typing(path, text)()
	day, ok := d.typed.date(path, text)
	switch {
	case !ok:
	case path == "issued":
		d.c.Issued = day
	case path == "start":
		d.c.Start = day
	}
}

// SetNumbering sets how teeth are written: fdi, universal or palmer.
func (d *Draft) SetNumbering(n string) {
	defer d.edit()()
	d.c.Numbering = n
}

// Renumber takes up how the practice writes teeth, in a case in which nothing is
// entered yet.
func (d *Draft) Renumber() {
	if !d.Started() {
		d.c.Numbering = d.practice.own.Numbering
		d.changed()
	}
}

// Summary sums up the case without anything private.
func (d *Draft) Summary() Summary {
	s := Summary{Teeth: d.Mouth().Teeth(), Route: d.c.Route, Material: d.c.Material}
	seen := map[string]bool{}
	count := func(keys []string) {
		for _, k := range keys {
			if w, known := d.words.Findings[k]; !known || w.Private || seen[k] {
				continue
			}
			seen[k] = true
			s.Findings++
		}
	}
	count(d.c.Findings)
	for _, e := range d.c.Teeth {
		count(e.Findings)
	}
	return s
}

func (d *Draft) setting(rule string) float64 {
	f, ok := d.base.Setting(rule)
	if !ok {
		return 0
	}
	return f.Value
}

// Stage is how far the treatment has come.
func (d *Draft) Stage() casefile.Stage {
	if d.c.Stage == "" {
		return casefile.Deciding
	}
	return d.c.Stage
}

// SetStage sets how far the treatment has come.
func (d *Draft) SetStage(s casefile.Stage) {
	defer d.edit()()
	d.stage(s)
}

// stage sets it, and the sheet that comes first with it.
func (d *Draft) stage(s casefile.Stage) {
	before := d.Stage()
	d.c.Stage = s
	d.turn(before)
}

// turn chooses the sheet that comes first in the stage, where that of the stage
// before was chosen.
func (d *Draft) turn(before casefile.Stage) {
	if d.print.Kind == firstSheet(before) {
		d.print.Kind = firstSheet(d.Stage())
	}
}

// Treating reports whether treatment has come as far as the try-in, when deciding
// is no longer what the sheets are for.
func (d *Draft) Treating() bool { return firstSheet(d.Stage()) != sheet.Options }

// Summary is what stays in sight on every screen: nothing private.
type Summary struct {
	Teeth    []casefile.Tooth
	Route    casefile.Route
	Material casefile.Material
	Findings int // different public findings
}

func toggle[T comparable](list []T, x T) []T {
	if i := slices.Index(list, x); i >= 0 {
		list = slices.Delete(slices.Clone(list), i, i+1)
		if len(list) == 0 {
			return nil
		}
		return list
	}
	return append(slices.Clone(list), x)
}

// compute is the plan of a case without faults; nil when it has some after all.
func compute(c casefile.Case, p casefile.Practice, b *evidence.Base) (*plan.Plan, fault.List) {
	pl, faults := plan.For(c, p, b)
	if len(faults) > 0 {
		return nil, faults
	}
	return &pl, nil
}

func emptied[T any](list []T) []T {
	if len(list) == 0 {
		return nil
	}
	return list
}

// OneParagraph makes a text fit for a field, as it is typed or pasted: a line break
// or a tab becomes a space, and signs that cannot be seen are left out.
func OneParagraph(s string) string {
	return safetext.Typed.Strip(strings.ReplaceAll(s, "\r\n", "\n"))
}
