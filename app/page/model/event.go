package model

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/app/veneer"
)

// day is the day of the screen for what happens in the chair; the zero day where
// the device's clock is behind the treatment.
func (m *Model) day() veneer.Date {
	last := m.Case.Start
	for _, e := range m.Case.Events {
		if last.Before(e.On) {
			last = e.On
		}
	}
	if m.today.Before(last) {
		return veneer.Date{}
	}
	return m.today
}

// note appends an event.
func (m *Model) note(e veneer.Event) { m.Case.Note(e); m.changed() }

// noteInChair appends what happened in the chair, on the day of the screen, and
// moves the case to the try-in.
func (m *Model) noteInChair(e veneer.Event) {
	if len(e.Places) == 0 { // whichever teeth the case has later
		e.Teeth = slices.Clone(m.Case.Meant(e.Teeth))
	}
	e.On = m.day()
	m.Case.Note(e)
	m.begun()
}

// takeBack takes the matching events back, all of them or, with teeth, what they
// say of those.
func (m *Model) takeBack(match func(veneer.Event) bool, teeth []veneer.Tooth) {
	for {
		n := m.Case.Last(func(e veneer.Event) bool {
			return match(e) && (teeth == nil || slices.ContainsFunc(m.Case.Meant(e.Teeth), func(t veneer.Tooth) bool { return slices.Contains(teeth, t) }))
		})
		if n == 0 {
			return
		}
		var these []veneer.Tooth
		for _, x := range m.Case.Noted() {
			if all := m.Case.Meant(x.Teeth); x.Number == n && teeth != nil {
				these = slices.DeleteFunc(slices.Clone(all), func(t veneer.Tooth) bool { return !slices.Contains(teeth, t) })
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
func (m *Model) strike(n int, teeth []veneer.Tooth, parts []string) {
	if n <= m.fixed {
		m.Case.Note(veneer.Event{Kind: veneer.Struck, Of: n, Teeth: teeth, Parts: parts})
		return
	}
	m.Case.Events = slices.Clone(m.Case.Events)
	if e := &m.Case.Events[n-1]; len(teeth)+len(parts) > 0 {
		if len(teeth) > 0 {
			e.Teeth = slices.DeleteFunc(slices.Clone(m.Case.Meant(e.Teeth)), func(t veneer.Tooth) bool { return slices.Contains(teeth, t) })
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
func (m *Model) TryIn(n int) veneer.TryIn {
	for _, t := range m.Case.TryIns() {
		if t.Sitting == n {
			return t
		}
	}
	return veneer.TryIn{Sitting: n}
}

// EditTryIn changes what was noted at a sitting; nothing noted is not kept.
func (m *Model) EditTryIn(n int, edit func(*veneer.TryIn)) {
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
			m.noteInChair(veneer.Event{Kind: veneer.Approved, Sitting: n, Teeth: now.Teeth, Parts: []string{x.part}})
		case "change":
			m.noteInChair(veneer.Event{Kind: veneer.ChangeWanted, Sitting: n, Teeth: now.Teeth, Parts: []string{x.part}})
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
		i := m.Case.Last(func(e veneer.Event) bool { return e.Sitting == sitting && slices.Contains(e.Parts, part) })
		if i == 0 {
			return
		}
		switch e := m.Case.Events[i-1]; {
		case len(e.Parts) > 1:
			m.strike(i, nil, []string{part})
		default:
			m.dropEvent(i)
			if e.Note != "" {
				m.renote(veneer.Event{Kind: veneer.Tried, On: e.On, Sitting: e.Sitting, Teeth: e.Teeth, Note: e.Note})
			}
		}
	}
}

// renote notes anew what was noted before. It has no day where something is noted of
// a later one.
func (m *Model) renote(e veneer.Event) {
	for _, x := range m.Case.History() {
		if e.On.Before(x.On) {
			e.On = veneer.Date{}
		}
	}
	m.Case.Note(e)
}

// sayAtTryIn keeps what was said at a sitting in words: one entry, while it is typed.
func (m *Model) sayAtTryIn(sitting int, teeth []veneer.Tooth, note string) {
	ofSitting := func(e veneer.Event) bool { return e.Sitting == sitting && e.Note != "" && e.Kind != veneer.DoneStep }
	for i := m.Case.Last(ofSitting); i > 0; i = m.Case.Last(ofSitting) {
		e := m.Case.Events[i-1]
		m.dropEvent(i)
		if e.Kind != veneer.Tried {
			e.Note = ""
			m.renote(e)
		}
	}
	if note != "" {
		e := veneer.Event{Kind: veneer.Tried, Sitting: sitting, Teeth: teeth, Note: note}
		if i := m.Case.Last(func(e veneer.Event) bool { return e.Sitting == sitting }); i > 0 {
			e.On = m.Case.Events[i-1].On // as what it is about
		}
		m.renote(e)
		m.begun()
	}
}

// ToothState is how far one tooth has been changed, by what was noted.
func (m *Model) ToothState(t veneer.Tooth) string {
	if s := m.Case.States(m.Words.Takes)[t]; s != "" {
		return s
	}
	return veneer.Untouched
}

// SetToothState notes how far some teeth have been changed. A step that was noted
// and took tooth away keeps its tooth shaped.
func (m *Model) SetToothState(teeth []veneer.Tooth, state string) {
	defer m.changed()
	step := func(steps ...string) func(veneer.Event) bool {
		return func(e veneer.Event) bool { return e.Kind == veneer.DoneStep && slices.Contains(steps, e.Step) }
	}
	not := func(states ...string) []veneer.Tooth {
		now := m.Case.States(m.Words.Takes)
		return slices.DeleteFunc(slices.Clone(teeth), func(t veneer.Tooth) bool { return slices.Contains(states, now[t]) })
	}
	switch state {
	case veneer.Untouched:
		m.takeBack(step(veneer.StepGlued, veneer.StepShaped, veneer.StepRemoved), teeth)
	case veneer.ShapedState:
		m.takeBack(step(veneer.StepGlued), teeth)
		if rest := not(veneer.ShapedState); len(rest) > 0 {
			m.noteInChair(veneer.Event{Kind: veneer.DoneStep, Step: veneer.StepShaped, Teeth: veneer.SortTeeth(rest)})
		}
	case veneer.BondedState:
		if rest := not(veneer.BondedState); len(rest) > 0 {
			m.noteInChair(veneer.Event{Kind: veneer.DoneStep, Step: veneer.StepGlued, Teeth: veneer.SortTeeth(rest)})
		}
	}
}

// at splits places into the teeth and the contacts that an event names.
func at(places []veneer.Place) (teeth []veneer.Tooth, pairs []veneer.Place) {
	for _, p := range places {
		if p.Contact() {
			pairs = append(pairs, p)
		} else {
			teeth = append(teeth, p.A)
		}
	}
	return veneer.SortTeeth(teeth), veneer.SortPlaces(pairs)
}

// AddDone notes a chair change that happened. mm is its size; 0 is not said.
func (m *Model) AddDone(change string, places []veneer.Place, mm float64, note string) {
	e := veneer.Event{Kind: veneer.DoneStep, Change: change, SizeMM: mm, Note: note}
	e.Teeth, e.Places = at(places)
	m.noteInChair(e)
}

// Question is what was asked in the chair before a step, and what was said to it.
type Question struct {
	Change string
	Places []veneer.Place
	SizeMM float64
	Fee    *veneer.Price
	Why    string
	Answer veneer.Answer // agree or no
	By     string        // who said it; blank where it was not asked who decides
	How    string        // spoken, signal, written or signed
}

// Ask notes a question and its answer.
func (m *Model) Ask(q Question) {
	asked := veneer.Event{Kind: veneer.Asked, By: "dentist", Change: q.Change, SizeMM: q.SizeMM, Fee: q.Fee, Note: q.Why}
	asked.Teeth, asked.Places = at(q.Places)
	m.noteInChair(asked)
	said := veneer.Event{Kind: veneer.Answered, By: q.By, How: q.How, Change: q.Change, Teeth: asked.Teeth, Places: asked.Places,
		SizeMM: q.SizeMM, Fee: q.Fee, Answer: q.Answer}
	m.noteInChair(said)
}

// Reopen notes that the patient takes back a no; false on the day it was given,
// when nobody reopens it. Before anything is agreed a no is an answer beforehand, and
// becomes another one.
func (m *Model) Reopen(change string, places []veneer.Place) bool {
	var beforehand, noted []veneer.Place
	for _, p := range places {
		switch was := m.Case.Standing(change, p); {
		case was.Answer != veneer.No || !was.On.IsZero() && !was.On.Before(m.day()):
			return false
		case was.From == veneer.FromCase:
			beforehand = append(beforehand, p)
		default:
			noted = append(noted, p)
		}
	}
	if len(beforehand) > 0 {
		m.SetAnswer(change, beforehand, veneer.Ask)
	}
	if len(noted) > 0 {
		e := veneer.Event{Kind: veneer.Reopened, By: "patient", Change: change}
		e.Teeth, e.Places = at(noted)
		m.noteInChair(e)
	}
	return true
}

// SayGluing notes the answer to gluing some teeth; blank takes it back.
func (m *Model) SayGluing(teeth []veneer.Tooth, answer veneer.Answer) {
	m.takeBack(func(e veneer.Event) bool { return e.Kind == veneer.Answered && e.Step == veneer.StepGlued }, teeth)
	if answer != veneer.Blank {
		m.noteInChair(veneer.Event{Kind: veneer.Answered, By: m.People().Decides, Step: veneer.StepGlued, Answer: answer, Teeth: veneer.SortTeeth(teeth)})
	}
	m.changed()
}

// GluingSaid is what was said to gluing some teeth, blank where they differ.
func (m *Model) GluingSaid(teeth []veneer.Tooth) veneer.Answer {
	last := func(t veneer.Tooth) veneer.Answer {
		n := m.Case.Last(func(e veneer.Event) bool {
			return e.Kind == veneer.Answered && e.Step == veneer.StepGlued && slices.Contains(m.Case.Meant(e.Teeth), t)
		})
		if n == 0 {
			return veneer.Blank
		}
		return m.Case.Events[n-1].Answer
	}
	if len(teeth) == 0 || slices.ContainsFunc(teeth, func(t veneer.Tooth) bool { return last(t) != last(teeth[0]) }) {
		return veneer.Blank
	}
	return last(teeth[0])
}

// DoneSteps lists what is noted as done, asked, answered or reopened in the chair,
// with the number of each entry.
func (m *Model) DoneSteps() []Noted {
	var out []Noted
	for _, e := range m.Case.Noted() {
		if e.Change != "" && slices.Contains([]veneer.EventKind{veneer.DoneStep, veneer.Asked, veneer.Answered, veneer.Reopened}, e.Kind) {
			out = append(out, e)
		}
	}
	return out
}

// Noted is one entry of the history with its number.
type Noted = veneer.Noted

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
			if v.Purpose == evidence.TrialSmile && !m.Case.VisitDone(v.Key) {
				m.note(veneer.Event{Kind: veneer.DoneStep, Visit: v.Key, On: m.day()})
			}
		}
	}
}

// Settle notes that what a finding asks to wait for is settled.
func (m *Model) Settle(finding string, teeth []veneer.Tooth) {
	m.note(veneer.Event{Kind: veneer.Settled, Finding: finding, Teeth: teeth, On: m.today})
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
	m.takeBack(func(e veneer.Event) bool { return e.Kind == veneer.Waived && e.Open == open }, nil)
	if words != "" {
		m.note(veneer.Event{Kind: veneer.Waived, Open: open, By: m.People().Decides, On: m.today, Note: words})
	}
	m.changed()
}

// ShowSheet notes that the chosen sheet was handed out, once a day.
func (m *Model) ShowSheet() {
	e := veneer.Event{Kind: veneer.Shown, Sheet: string(m.Print.Kind), On: m.today}
	if m.Case.Last(func(x veneer.Event) bool { return x.Kind == e.Kind && x.Sheet == e.Sheet && x.On == e.On }) == 0 {
		m.note(e)
	}
}

// AgreeOnPaper notes that the agreement was signed by hand on a day; false where
// something holds the signing back, which Held then lists, or the day is to come. code is printed on the
// paper, kept says where it is.
func (m *Model) AgreeOnPaper(day veneer.Date, code, kept string) bool {
	if p := m.Plan(); p == nil || m.today.Before(day) || len(p.Held(plan.HoldsSigning, day)) > 0 {
		return false
	}
	m.agree(veneer.SignedPaper, code, "", sheet.Consent, day)
	m.Case.Agreed.Paper = kept
	return true
}

// agree puts what the case has now in force.
func (m *Model) agree(way, code, sum string, kind sheet.Kind, day veneer.Date) {
	var price *veneer.Price
	if p := m.Plan(); p != nil && p.Money.Known {
		price = &veneer.Price{Minor: p.Money.Total, Currency: p.Money.Currency}
	}
	a := m.Case.Agree(way, code, sum, string(kind), day, price, m.Words.OfContacts)
	if before := m.Case.Agreed; before != nil {
		m.Case.AgreedBefore = append(slices.Clone(m.Case.AgreedBefore), *before)
	}
	m.Case.Agreed = &a
	m.Case.Note(veneer.Event{Kind: veneer.SignedSheet, Sheet: string(kind), Code: code, SHA256: sum, On: day, How: "signed"})
	if m.Stage() == veneer.Deciding {
		m.stage(veneer.Agreed)
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
