// Package model holds what the screens show and change: the open case, the
// practice, and whatever was typed that cannot be read yet. It knows no browser,
// no clock and no words. Every edit is a method; nothing typed is ever dropped
// because it is wrong: it stays with its fault until it is mended or cleared.
package model

import (
	"cmp"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// Person names the patient on printed sheets. It is kept in memory only and is
// never part of a case file.
type Person struct{ Name, Born, Chart string }

// Print is how the next sheet is to be printed.
type Print struct {
	Kind  sheet.Kind
	Paper string // a4 or letter
	Large bool
}

// Rejected is a file that could not be read, with the text it held.
type Rejected struct {
	Name   string
	Text   string
	Faults fault.List
}

// Model is the open case and everything around it.
type Model struct {
	Base     *evidence.Base
	Words    casefile.Vocabulary
	Practice casefile.Practice
	Case     casefile.Case
	Person   Person
	Print    Print
	Signing  Signing
	Ring     Ring

	// CaseFile and PracticeFile are files that could not be read; nil when none.
	CaseFile, PracticeFile *Rejected
	// Offered is a practice file that was read and waits for a yes.
	Offered *casefile.Practice
	// OfferNotes tell of sentences in it that this program prints nowhere.
	OfferNotes fault.List
	offer      fileText // that file, or the one in PracticeFile, as it is now
	// Own is what the practice set on this device.
	Own Own
	// Pending is what was typed and not added to the case yet, by field.
	Pending map[string]string
	// Handed says that something to be signed was printed or saved.
	Handed bool
	// ZoneKnown reports whether a time zone exists; nil lets every name pass.
	ZoneKnown func(string) bool

	screen  string   // language of the screen
	apart   bool     // the sheets have a language of their own
	parked  []string // languages of the opened case that are not offered for now
	today   casefile.Date
	typed   map[string]string // text of fields that cannot be read, by path
	dropped map[casefile.Tooth]casefile.ToothEntry
	again   map[string]bool   // points explained again, by topic
	fixed   int               // events that a file or a seal has: taken back, never out
	unfit   casefile.Material // chosen before, for a way that could use it

	edits   int               // counts what changes a sheet
	strokes int               // counts what else changes the draft
	set     int               // counts what changes the practice
	worded  int               // counts what changes its sentences and sign-offs
	sums    map[string]string // prices as they were typed, by path
	fresh   bool              // plan and faults belong to the case as it is
	plan    *plan.Plan
	faults  fault.List
	// practice is what is wrong with the practice, looked at when edits was checked.
	practice fault.List
	checked  int
}

// New opens an empty case. today is the date that sheets bear until it is changed.
func New(base *evidence.Base, words casefile.Vocabulary, practice casefile.Practice, today casefile.Date, lang string) *Model {
	m := &Model{Base: base, Words: words, Practice: practice, today: today}
	m.Print = Print{Kind: sheet.Options, Paper: "a4"}
	m.settle()
	m.screen = lang
	m.blank("")
	return m
}

func (m *Model) blank(numbering string) {
	m.Case = casefile.Case{Version: casefile.CaseVersion, Issued: m.today, Start: m.today, Locale: m.screen, Numbering: numbering}
	m.apart, m.parked = false, nil
	m.Person = Person{}
	m.CaseFile = nil
	m.Handed, m.Pending = false, nil
	m.Signing = Signing{}
	m.typed = map[string]string{}
	m.dropped = map[casefile.Tooth]casefile.ToothEntry{}
	m.again = map[string]bool{}
	m.unfit, m.fixed = "", 0
	m.plan, m.faults = nil, nil
	m.changed()
}

// Clear makes ready for the next patient. The practice, the screen's language
// and the way teeth are numbered stay; nothing of the case does.
func (m *Model) Clear() {
	m.Print.Kind = sheet.Options
	m.Print.Large = false
	m.blank(cmp.Or(m.Own.Numbering, m.Case.Numbering))
}

func (m *Model) changed() { m.fresh = false; m.edits++ }

// Edits counts the changes so far, so that a caller can tell whether a sheet
// made earlier is still the one that would be made now.
func (m *Model) Edits() int { return m.edits }

// SetPerson keeps what is typed about whose sheet it is.
func (m *Model) SetPerson(edit func(*Person)) { edit(&m.Person); m.edits++ }

// SetPrint changes how the next sheet is printed.
func (m *Model) SetPrint(edit func(*Print)) { edit(&m.Print); m.edits++ }

// Started reports whether anything has been entered that clearing would lose.
//
// Complexity: one condition a field, in one list that can be compared with the types.
//
//gocyclo:ignore
func (m *Model) Started() bool {
	c := m.Case
	return len(c.Teeth) > 0 || len(c.Findings) > 0 || c.Route != "" || c.Material != "" ||
		c.TargetShade != "" || c.ShadeNote != "" || c.UnderlyingShade != "" || c.Second != "" || c.People != nil || len(c.Priorities) > 0 ||
		len(c.Answers) > 0 || c.Advice != nil || c.ID != "" || c.Wish != "" || c.Detail != "" ||
		len(c.Questions) > 0 || len(c.Events) > 0 || c.Agreed != nil || c.Stage != "" || len(c.Visits) > 0 ||
		m.Signed() || m.Person != Person{} || m.CaseFile != nil || len(m.typed) > 0
}

// renew computes the plan and the faults once after an edit.
func (m *Model) renew() {
	if m.fresh {
		return
	}
	m.fresh = true
	m.plan = nil
	m.faults = m.Case.Check(m.Words)
	if len(m.faults) == 0 {
		m.plan, m.faults = compute(m.Case, m.Practice, m.Base)
	}
	m.faults = append(m.faults, m.waiting()...)
	for path, text := range m.typed {
		m.faults = slices.DeleteFunc(m.faults, func(f fault.Fault) bool { return f.Path == path })
		m.faults = append(m.faults, typedFault(path, text))
	}
	m.faults = m.faults.Sorted()
}

// Plan is the plan of the case as it stands; nil while the case has faults that
// leave nothing to plan.
func (m *Model) Plan() *plan.Plan { m.renew(); return m.plan }

// Faults lists what is wrong with the case as it stands, by path.
func (m *Model) Faults() fault.List { m.renew(); return m.faults }

// FaultsAt lists the faults of one field, and of anything inside it.
func (m *Model) FaultsAt(path string) fault.List {
	var out fault.List
	for _, f := range m.Faults() {
		if f.Path == path || strings.HasPrefix(f.Path, path+".") || strings.HasPrefix(f.Path, path+"[") {
			out = append(out, f)
		}
	}
	return out
}

// Typed is what stands in a field: the text as typed while it cannot be read,
// else the value.
func (m *Model) Typed(path, value string) string {
	if t, ok := m.typed[path]; ok {
		return t
	}
	return value
}

func typedFault(path, text string) fault.Fault {
	if strings.HasSuffix(path, ".time") {
		return fault.New("CASE-TIME", path, "%q is not a time such as 14:30", text).With("Text", text)
	}
	return fault.New("PAGE-DATE", path, "%q is not a date such as 2026-11-25", text).With("Text", text)
}

// SetDate sets issued or start. Text that is not a date stays in the field.
func (m *Model) SetDate(path, text string) {
	defer m.changed()
	delete(m.typed, path)
	text = strings.TrimSpace(text)
	var d casefile.Date
	if text != "" {
		var err error
		if d, err = casefile.ParseDate(text); err != nil {
			m.typed[path] = text
			return
		}
	}
	switch path {
	case "issued":
		m.Case.Issued = d
	case "start":
		m.Case.Start = d
	}
}

// SetLanguage sets the screen's language. The sheets follow it unless they have
// one of their own.
func (m *Model) SetLanguage(tag string) {
	m.screen = tag
	if parked := m.parked; !m.apart {
		m.SetLocale(tag)
		m.parked = parked
	}
	m.apart = m.Case.Locale != tag
}

// SetLocale sets the language of the sheets.
func (m *Model) SetLocale(tag string) {
	m.apart, m.parked = tag != m.screen, nil
	if m.Case.Locale == tag {
		return
	}
	m.Case.Locale = tag
	if m.Case.Second == tag {
		m.Case.Second = ""
	}
	m.changed()
}

// tongues settles the languages of a case that was opened. The screen stays in the
// language it is in, since the patient is looking on; the sheets stay in the case's.
// Where that is parked, the sheets follow the screen, and Parked says so.
func (m *Model) tongues() {
	c := &m.Case
	for _, tag := range []*string{&c.Locale, &c.Second} {
		if parked(*tag) {
			m.parked = append(m.parked, *tag)
			*tag = ""
		}
	}
	if c.Locale == "" {
		c.Locale = m.screen
	}
	if c.Second == c.Locale {
		c.Second = ""
	}
	m.apart = c.Locale != m.screen
}

func parked(tag string) bool {
	l, ok := i18n.Known(tag)
	return ok && l.Tier == i18n.Parked
}

// Parked lists the languages that the opened case named and that are not offered for
// now, until another is chosen for its sheets.
func (m *Model) Parked() []string { return m.parked }

// Apart reports whether the sheets are in another language than the screen.
func (m *Model) Apart() bool { return m.apart }

// SetSecond sets the language printed beside the first; "" is one language.
func (m *Model) SetSecond(tag string) {
	if tag == m.Case.Locale {
		tag = ""
	}
	m.Case.Second, m.parked = tag, nil
	m.changed()
}

// SetNumbering sets how teeth are written: fdi, universal or palmer.
func (m *Model) SetNumbering(n string) { m.Case.Numbering = n; m.changed() }

// SetRoute sets the case's route. A material the route cannot use is taken out;
// advice that was for the route before is for this one.
func (m *Model) SetRoute(r casefile.Route) {
	// Advice stays with the way it was given for, whichever is looked at.
	if a := m.Case.Advice; a != nil && a.Route == "" {
		m.Case.Advice = &casefile.Advice{Route: r, Reason: a.Reason}
	}
	m.Case.Route = r
	if !m.Follows() || m.Case.Then == r || r.Whitens() && m.Case.Then.Whitens() {
		m.Case.Then = ""
	}
	m.fitMaterial()
	m.changed()
}

// fitMaterial takes a material out that the way cannot use. It comes back with a
// way that can, unless another has been chosen since. Where a way can use only one,
// that one needs no choosing.
func (m *Model) fitMaterial() {
	can := m.Materials()
	if x := m.Case.Material; x != "" && !slices.Contains(can, x) {
		m.Case.Material = ""
		if m.unfit == "" { // else x was the only one, and not chosen
			m.unfit = x
		}
	}
	switch {
	case m.Case.Material != "":
	case slices.Contains(can, m.unfit):
		m.Case.Material, m.unfit = m.unfit, ""
	case len(can) == 1:
		m.Case.Material = can[0]
	}
}

// SetThen sets what follows a route that only comes first.
func (m *Model) SetThen(r casefile.Route) {
	m.Case.Then = r
	m.fitMaterial()
	m.changed()
}

// Follows reports whether another route may follow the chosen one.
func (m *Model) Follows() bool { return m.Case.Route.Leads() }

// Materials lists what the chosen route, or the one that follows it, is made of.
func (m *Model) Materials() []casefile.Material {
	if m.Follows() && m.Case.Then != "" {
		return m.MaterialsOf(m.Case.Then)
	}
	return m.MaterialsOf(m.Case.Route)
}

// MaterialsOf lists what a route is made of.
func (m *Model) MaterialsOf(r casefile.Route) []casefile.Material { return m.Words.Materials[r] }

// MaterialOpen reports whether a tooth on the chosen way, or on the one that
// follows it, still needs a material.
func (m *Model) MaterialOpen() bool {
	return m.Case.Material == "" && len(m.Materials()) > 0 &&
		slices.ContainsFunc(m.Case.Teeth, func(e casefile.ToothEntry) bool {
			return e.Material == "" && (e.Route == "" || e.Route == m.Case.Route)
		})
}

// SetMaterial sets the case's material.
func (m *Model) SetMaterial(x casefile.Material) { m.Case.Material, m.unfit = x, ""; m.changed() }

// SetTarget sets the shade the patient wants.
func (m *Model) SetTarget(s casefile.Shade) { m.Case.TargetShade = s; m.changed() }

// SetShadeNote sets the laboratory's own name for that shade.
func (m *Model) SetShadeNote(s string) { m.Case.ShadeNote = s; m.changed() }

// SetUnderlyingAll sets the shade of all teeth that have none of their own.
func (m *Model) SetUnderlyingAll(s casefile.Shade) { m.Case.UnderlyingShade = s; m.changed() }

// Priority gives the place of a wish in the patient's order, from 1; 0 when it has none.
func (m *Model) Priority(key string) int { return slices.Index(m.Case.Priorities, key) + 1 }

// TogglePriority puts a wish last in the patient's order, or takes it out.
func (m *Model) TogglePriority(key string) {
	m.Case.Priorities = toggle(m.Case.Priorities, key)
	m.changed()
}

// SetDetail sets how much the patient wants to know: words or numbers.
func (m *Model) SetDetail(d string) { m.Case.Detail = d; m.changed() }

// SetAdvice sets the dentist's own reason, in the dentist's words, for the chosen route.
func (m *Model) SetAdvice(reason string) {
	if reason == "" {
		m.Case.Advice = nil
	} else {
		m.Case.Advice = &casefile.Advice{Route: m.Case.Route, Reason: reason}
	}
	m.changed()
}

// Advice is the dentist's own reason, as typed.
func (m *Model) Advice() string {
	if m.Case.Advice == nil {
		return ""
	}
	return m.Case.Advice.Reason
}

// AdvisedElse is the way that the dentist's advice was given for when another one
// is chosen now.
func (m *Model) AdvisedElse() casefile.Route {
	if a := m.Case.Advice; a != nil && a.Route != m.Case.Route {
		return a.Route
	}
	return ""
}

// SetReason sets why the dentist goes on against a wait-for; "" takes it back.
func (m *Model) SetReason(wait, reason string) {
	m.Case.ProceedReasons = slices.DeleteFunc(m.Case.ProceedReasons,
		func(p casefile.ProceedReason) bool { return p.WaitFor == wait })
	if reason != "" {
		m.Case.ProceedReasons = append(m.Case.ProceedReasons, casefile.ProceedReason{WaitFor: wait, Reason: reason})
	}
	m.changed()
}

// Reason is the dentist's reason for going on against a wait-for.
func (m *Model) Reason(wait string) string {
	for _, p := range m.Case.ProceedReasons {
		if p.WaitFor == wait {
			return p.Reason
		}
	}
	return ""
}

// EditPeople changes who decides and who is there. All empty is "not said".
func (m *Model) EditPeople(edit func(*casefile.People)) {
	p := m.People()
	edit(&p)
	if (p == casefile.People{}) {
		m.Case.People = nil
	} else {
		m.Case.People = &p
	}
	m.changed()
}

// People is who decides and who is there.
func (m *Model) People() casefile.People {
	if m.Case.People == nil {
		return casefile.People{}
	}
	return *m.Case.People
}

// Summary is what stays in sight on every screen: nothing private.
type Summary struct {
	Teeth    []casefile.Tooth
	Route    casefile.Route
	Material casefile.Material
	Findings int // different public findings
}

// Summary sums up the case without anything private.
func (m *Model) Summary() Summary {
	s := Summary{Teeth: m.Teeth(), Route: m.Case.Route, Material: m.Case.Material}
	seen := map[string]bool{}
	count := func(keys []string) {
		for _, k := range keys {
			if w, known := m.Words.Findings[k]; !known || w.Private || seen[k] {
				continue
			}
			seen[k] = true
			s.Findings++
		}
	}
	count(m.Case.Findings)
	for _, e := range m.Case.Teeth {
		count(e.Findings)
	}
	return s
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
