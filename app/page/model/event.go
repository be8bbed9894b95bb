package model

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// day is the day of the screen for what happens in the chair; the zero day where
// the device's clock is behind the treatment.
func (m *Model) day() casefile.Date {
	last := m.Case.Start
	for _, e := range m.Case.Events {
		if last.Before(e.On) {
			last = e.On
		}
	}
	if m.today.Before(last) {
		return casefile.Date{}
	}
	return m.today
}

// note appends an event.
func (m *Model) note(e casefile.Event) { m.Case.Note(e); m.changed() }

// noteInChair appends what happened in the chair, on the day of the screen, and
// moves the case to the try-in.
func (m *Model) noteInChair(e casefile.Event) {
	if len(e.Places) == 0 { // whichever teeth the case has later
		e.Teeth = slices.Clone(m.Case.Meant(e.Teeth))
	}
	e.On = m.day()
	m.Case.Note(e)
	m.begun()
}

// takeBack takes the matching events back, all of them or, with teeth, what they
// say of those.
func (m *Model) takeBack(match func(casefile.Event) bool, teeth []casefile.Tooth) {
	for {
		n := m.Case.Last(func(e casefile.Event) bool {
			return match(e) && (teeth == nil || slices.ContainsFunc(m.Case.Meant(e.Teeth), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) }))
		})
		if n == 0 {
			return
		}
		var these []casefile.Tooth
		for _, x := range m.Case.Noted() {
			if all := m.Case.Meant(x.Teeth); x.Number == n && teeth != nil {
				these = slices.DeleteFunc(slices.Clone(all), func(t casefile.Tooth) bool { return !slices.Contains(teeth, t) })
				if len(these) == len(all) {
					these = nil
				}
			}
		}
		m.strike(n, these, nil)
	}
}

// dropEvent takes one event back.
func (m *Model) dropEvent(n int) { m.strike(n, nil, nil) }

// strike takes one event back, or what it says of some teeth or parts, and leaves the
// rest where it is. What no seal and no file has yet is taken out; any other is struck.
func (m *Model) strike(n int, teeth []casefile.Tooth, parts []string) {
	if n <= m.fixed {
		m.Case.Note(casefile.Event{Kind: casefile.Struck, Of: n, Teeth: teeth, Parts: parts})
		return
	}
	m.Case.Events = slices.Clone(m.Case.Events)
	if e := &m.Case.Events[n-1]; len(teeth)+len(parts) > 0 {
		if len(teeth) > 0 {
			e.Teeth = slices.DeleteFunc(slices.Clone(m.Case.Meant(e.Teeth)), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) })
		}
		e.Parts = slices.DeleteFunc(slices.Clone(e.Parts), func(p string) bool { return slices.Contains(parts, p) })
		return
	}
	m.Case.Events = slices.Delete(m.Case.Events, n-1, n)
	for i := range m.Case.Events { // later entries name others by their number
		if e := &m.Case.Events[i]; e.Of > n {
			e.Of--
		}
	}
	m.Case.Events = emptied(m.Case.Events)
}

// TryIn is what was noted at one sitting.
func (m *Model) TryIn(n int) casefile.TryIn {
	for _, t := range m.Case.TryIns() {
		if t.Sitting == n {
			return t
		}
	}
	return casefile.TryIn{Sitting: n}
}

// EditTryIn changes what was noted at a sitting; nothing noted is not kept.
func (m *Model) EditTryIn(n int, edit func(*casefile.TryIn)) {
	before := m.TryIn(n)
	for _, s := range m.Sittings() {
		if s.Number == n {
			before.Teeth = s.Teeth
		}
	}
	now := before
	edit(&now)
	for _, x := range []struct{ part, was, said string }{
		{"shade", before.Shade, now.Shade}, {"shape", before.Shape, now.Shape}, {"length", before.Length, now.Length},
	} {
		if x.was == x.said {
			continue
		}
		m.unsay(n, x.part)
		switch x.said {
		case "approved":
			m.noteInChair(casefile.Event{Kind: casefile.Approved, Sitting: n, Teeth: now.Teeth, Parts: []string{x.part}})
		case "change":
			m.noteInChair(casefile.Event{Kind: casefile.ChangeWanted, Sitting: n, Teeth: now.Teeth, Parts: []string{x.part}})
		}
	}
	if now.Note != before.Note {
		m.sayAtTryIn(n, now.Teeth, now.Note)
	}
	m.changed()
}

// unsay takes back what was said of one part at a sitting.
func (m *Model) unsay(sitting int, part string) {
	for {
		i := m.Case.Last(func(e casefile.Event) bool { return e.Sitting == sitting && slices.Contains(e.Parts, part) })
		if i == 0 {
			return
		}
		switch e := m.Case.Events[i-1]; {
		case len(e.Parts) > 1:
			m.strike(i, nil, []string{part})
		default:
			m.dropEvent(i)
			if e.Note != "" {
				m.renote(casefile.Event{Kind: casefile.Tried, On: e.On, Sitting: e.Sitting, Teeth: e.Teeth, Note: e.Note})
			}
		}
	}
}

// renote notes anew what was noted before. It has no day where something is noted of
// a later one.
func (m *Model) renote(e casefile.Event) {
	for _, x := range m.Case.History() {
		if e.On.Before(x.On) {
			e.On = casefile.Date{}
		}
	}
	m.Case.Note(e)
}

// sayAtTryIn keeps what was said at a sitting in words: one entry, while it is typed.
func (m *Model) sayAtTryIn(sitting int, teeth []casefile.Tooth, note string) {
	ofSitting := func(e casefile.Event) bool {
		return e.Sitting == sitting && e.Note != "" && e.Kind != casefile.DoneStep
	}
	for i := m.Case.Last(ofSitting); i > 0; i = m.Case.Last(ofSitting) {
		e := m.Case.Events[i-1]
		m.dropEvent(i)
		if e.Kind != casefile.Tried {
			e.Note = ""
			m.renote(e)
		}
	}
	if note != "" {
		e := casefile.Event{Kind: casefile.Tried, Sitting: sitting, Teeth: teeth, Note: note}
		if i := m.Case.Last(func(e casefile.Event) bool { return e.Sitting == sitting }); i > 0 {
			e.On = m.Case.Events[i-1].On // as what it is about
		}
		m.renote(e)
		m.begun()
	}
}

// ToothState is how far one tooth has been changed, by what was noted.
func (m *Model) ToothState(t casefile.Tooth) string {
	if s := m.Case.States(m.Words.Takes)[t]; s != "" {
		return s
	}
	return casefile.Untouched
}

// SetToothState notes how far some teeth have been changed. A step that was noted
// and took tooth away keeps its tooth shaped.
func (m *Model) SetToothState(teeth []casefile.Tooth, state string) {
	defer m.changed()
	step := func(steps ...string) func(casefile.Event) bool {
		return func(e casefile.Event) bool { return e.Kind == casefile.DoneStep && slices.Contains(steps, e.Step) }
	}
	not := func(states ...string) []casefile.Tooth {
		now := m.Case.States(m.Words.Takes)
		return slices.DeleteFunc(slices.Clone(teeth), func(t casefile.Tooth) bool { return slices.Contains(states, now[t]) })
	}
	switch state {
	case casefile.Untouched:
		m.takeBack(step(casefile.StepGlued, casefile.StepShaped, casefile.StepRemoved), teeth)
	case casefile.ShapedState:
		m.takeBack(step(casefile.StepGlued), teeth)
		if rest := not(casefile.ShapedState); len(rest) > 0 {
			m.noteInChair(casefile.Event{Kind: casefile.DoneStep, Step: casefile.StepShaped, Teeth: casefile.SortTeeth(rest)})
		}
	case casefile.BondedState:
		if rest := not(casefile.BondedState); len(rest) > 0 {
			m.noteInChair(casefile.Event{Kind: casefile.DoneStep, Step: casefile.StepGlued, Teeth: casefile.SortTeeth(rest)})
		}
	}
}

// at splits places into the teeth and the contacts that an event names.
func at(places []casefile.Place) (teeth []casefile.Tooth, pairs []casefile.Place) {
	for _, p := range places {
		if p.Contact() {
			pairs = append(pairs, p)
		} else {
			teeth = append(teeth, p.A)
		}
	}
	return casefile.SortTeeth(teeth), casefile.SortPlaces(pairs)
}

// AddDone notes a chair change that happened. mm is its size; 0 is not said.
func (m *Model) AddDone(change string, places []casefile.Place, mm float64, note string) {
	e := casefile.Event{Kind: casefile.DoneStep, Change: change, SizeMM: mm, Note: note}
	e.Teeth, e.Places = at(places)
	m.noteInChair(e)
}

// Question is what was asked in the chair before a step, and what was said to it.
type Question struct {
	Change string
	Places []casefile.Place
	SizeMM float64
	Fee    *casefile.Price
	Why    string
	Answer casefile.Answer // agree or no
	By     string          // who said it; blank where it was not asked who decides
	How    string          // spoken, signal, written or signed
}

// Ask notes a question and its answer.
func (m *Model) Ask(q Question) {
	asked := casefile.Event{Kind: casefile.Asked, By: "dentist", Change: q.Change, SizeMM: q.SizeMM, Fee: q.Fee, Note: q.Why}
	asked.Teeth, asked.Places = at(q.Places)
	m.noteInChair(asked)
	said := casefile.Event{Kind: casefile.Answered, By: q.By, How: q.How, Change: q.Change, Teeth: asked.Teeth, Places: asked.Places,
		SizeMM: q.SizeMM, Fee: q.Fee, Answer: q.Answer}
	m.noteInChair(said)
}

// Reopen notes that the patient takes back a no; false on the day it was given,
// when nobody reopens it. Before anything is agreed a no is an answer beforehand, and
// becomes another one.
func (m *Model) Reopen(change string, places []casefile.Place) bool {
	var beforehand, noted []casefile.Place
	for _, p := range places {
		switch was := m.Case.Standing(change, p); {
		case was.Answer != casefile.No || !was.On.IsZero() && !was.On.Before(m.day()):
			return false
		case was.From == casefile.FromCase:
			beforehand = append(beforehand, p)
		default:
			noted = append(noted, p)
		}
	}
	if len(beforehand) > 0 {
		m.SetAnswer(change, beforehand, casefile.Ask)
	}
	if len(noted) > 0 {
		e := casefile.Event{Kind: casefile.Reopened, By: "patient", Change: change}
		e.Teeth, e.Places = at(noted)
		m.noteInChair(e)
	}
	return true
}

// SayGluing notes the answer to gluing some teeth; blank takes it back.
func (m *Model) SayGluing(teeth []casefile.Tooth, answer casefile.Answer) {
	m.takeBack(func(e casefile.Event) bool { return e.Kind == casefile.Answered && e.Step == casefile.StepGlued }, teeth)
	if answer != casefile.Blank {
		m.noteInChair(casefile.Event{Kind: casefile.Answered, By: m.People().Decides, Step: casefile.StepGlued, Answer: answer, Teeth: casefile.SortTeeth(teeth)})
	}
	m.changed()
}

// GluingSaid is what was said to gluing some teeth, blank where they differ.
func (m *Model) GluingSaid(teeth []casefile.Tooth) casefile.Answer {
	last := func(t casefile.Tooth) casefile.Answer {
		n := m.Case.Last(func(e casefile.Event) bool {
			return e.Kind == casefile.Answered && e.Step == casefile.StepGlued && slices.Contains(m.Case.Meant(e.Teeth), t)
		})
		if n == 0 {
			return casefile.Blank
		}
		return m.Case.Events[n-1].Answer
	}
	if len(teeth) == 0 || slices.ContainsFunc(teeth, func(t casefile.Tooth) bool { return last(t) != last(teeth[0]) }) {
		return casefile.Blank
	}
	return last(teeth[0])
}

// DoneSteps lists what is noted as done, asked, answered or reopened in the chair,
// with the number of each entry.
func (m *Model) DoneSteps() []Noted {
	var out []Noted
	for _, e := range m.Case.Noted() {
		if e.Change != "" && slices.Contains([]casefile.EventKind{casefile.DoneStep, casefile.Asked, casefile.Answered, casefile.Reopened}, e.Kind) {
			out = append(out, e)
		}
	}
	return out
}

// Noted is one entry of the history with its number.
type Noted = casefile.Noted

// counts reports whether the n-th event was not taken back.
func (m *Model) counts(n int) bool {
	return slices.ContainsFunc(m.Case.Noted(), func(e Noted) bool { return e.Number == n })
}

// TakeBack takes the n-th event back, and what was said later about the same step
// and cannot have been said without it: the yes to a question, or what followed when
// a no was reopened.
func (m *Model) TakeBack(n int) {
	if n < 1 || n > len(m.Case.Events) || !m.counts(n) {
		return
	}
	change := m.Case.Events[n-1].Change
	for m.dropEvent(n); change != ""; m.dropEvent(n) {
		if n = m.unfounded(change); n == 0 {
			break
		}
	}
	m.changed()
}

// unfounded is the number of the first entry about a step that the check refuses for
// what was said before it; 0 for none.
func (m *Model) unfounded(change string) int {
	faults := m.Case.Check(m.Words)
	for _, e := range m.Case.Noted() {
		path := fmt.Sprintf("events[%d]", e.Number-1)
		if e.Change == change && slices.ContainsFunc(faults, func(f fault.Fault) bool {
			return strings.HasPrefix(f.Path, path) && slices.Contains([]string{"EVENT-NO", "EVENT-ASKED", "EVENT-REOPENED"}, f.Code)
		}) {
			return e.Number
		}
	}
	return 0
}

// ShowTrialSmile notes that the visits took place at which the planned shape was
// tried in the mouth.
func (m *Model) ShowTrialSmile() {
	if p := m.Plan(); p != nil {
		for _, v := range p.Visits {
			if key := v.KeyOf(evidence.TrialSmile); key != "" && !m.Case.VisitDone(key) {
				m.note(casefile.Event{Kind: casefile.DoneStep, Visit: key, On: m.day()})
			}
		}
	}
}

// Settle notes that what a finding asks to wait for is settled.
func (m *Model) Settle(finding string, teeth []casefile.Tooth) {
	m.note(casefile.Event{Kind: casefile.Settled, Finding: finding, Teeth: teeth, On: m.today})
}

// DecideCare notes what the patient said to care that comes first.
func (m *Model) DecideCare(care string, a casefile.Answer) {
	m.note(casefile.Event{Kind: casefile.CareDecided, Care: care, Answer: a, By: "patient", On: m.today})
}

// SettleTalk notes that what was to be talked about again first is settled, whatever
// the private findings are.
func (m *Model) SettleTalk() {
	for _, k := range m.PrivateWaits() {
		if m.HasFinding(k) {
			m.Settle(k, nil)
		} else {
			m.Settle(k, m.TeethWith(k))
		}
	}
}

// Waive keeps the patient's own words on an open point; "" takes them back.
func (m *Model) Waive(open, words string) {
	m.takeBack(func(e casefile.Event) bool { return e.Kind == casefile.Waived && e.Open == open }, nil)
	if words != "" {
		m.note(casefile.Event{Kind: casefile.Waived, Open: open, By: m.People().Decides, On: m.today, Note: words})
	}
	m.changed()
}

// ShowSheet notes that the chosen sheet was handed out, once a day.
func (m *Model) ShowSheet() {
	e := casefile.Event{Kind: casefile.Shown, Sheet: string(m.Print.Kind), On: m.today}
	if m.Case.Last(func(x casefile.Event) bool { return x.Kind == e.Kind && x.Sheet == e.Sheet && x.On == e.On }) == 0 {
		m.note(e)
	}
}

// AgreeOnPaper notes that the agreement was signed by hand on a day; false where
// something holds the signing back, which Held then lists, or the day is to come. code is printed on the
// paper, kept says where it is.
func (m *Model) AgreeOnPaper(day casefile.Date, code, kept string) bool {
	if p := m.Plan(); p == nil || m.today.Before(day) || len(p.Held(plan.HoldsSigning, day)) > 0 {
		return false
	}
	m.agree(casefile.SignedPaper, code, "", sheet.Consent, day)
	m.Case.Agreed.Paper = kept
	return true
}

// agree puts what the case has now in force.
func (m *Model) agree(way, code, sum string, kind sheet.Kind, day casefile.Date) {
	var price *casefile.Price
	if p := m.Plan(); p != nil && p.Money.Known {
		price = &casefile.Price{Minor: p.Money.Total, Currency: p.Money.Currency}
	}
	a := plan.ToSign(m.Case, m.Practice, m.Base).Agree(way, code, sum, string(kind), day, price, m.Words.OfContacts)
	if before := m.Case.Agreed; before != nil {
		m.Case.AgreedBefore = append(slices.Clone(m.Case.AgreedBefore), *before)
	}
	m.Case.Agreed = &a
	m.Case.Note(casefile.Event{Kind: casefile.SignedSheet, Sheet: string(kind), Code: code, SHA256: sum, On: day, How: "signed"})
	if m.Stage() == casefile.Deciding {
		m.stage(casefile.Agreed)
	}
	m.changed()
}

// Held lists what keeps the chosen sheet from being signed on the day of the screen.
func (m *Model) Held() []plan.Open {
	p := m.Plan()
	if p == nil {
		return nil
	}
	return p.HeldFor(string(m.Print.Kind), m.today)
}
