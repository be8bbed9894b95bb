package state

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
)

// Chair is the answers to chair changes, the try-in and what was done.
type Chair struct{ d *Draft }

// Answer is what was answered beforehand to a chair change at one place.
func (ch Chair) Answer(change string, at casefile.Place) casefile.Answer {
	return ch.d.c.AnswerAt(change, at)
}

// Counts is the case with its answers as they count.
func (ch Chair) Counts() casefile.Case { return plan.Settled(ch.d.c, ch.d.practice.file, ch.d.base) }

// SetAnswer writes down the patient's answer to a chair change at some places, teeth
// or contacts. Blank takes it back.
func (ch Chair) SetAnswer(change string, places []casefile.Place, answer casefile.Answer) {
	defer ch.d.edit()()
	teeth, pairs := at(places)
	var kept []casefile.AnswerEntry
	for _, a := range ch.d.c.Answers {
		if a.Change != change {
			kept = append(kept, a)
			continue
		}
		if len(a.Teeth)+len(a.Places) == 0 {
			a.Teeth = ch.d.Mouth().Teeth()
		}
		a.Teeth = slices.DeleteFunc(slices.Clone(a.Teeth), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) })
		a.Places = slices.DeleteFunc(slices.Clone(a.Places), func(p casefile.Place) bool { return slices.Contains(pairs, p) })
		if len(a.Teeth)+len(a.Places) > 0 {
			kept = append(kept, a)
		}
	}
	ch.d.c.Answers = kept
	if answer == casefile.Blank || len(places) == 0 {
		return
	}
	for i, a := range ch.d.c.Answers {
		if a.Change == change && a.Answer == answer && (len(a.Teeth) > 0) == (len(teeth) > 0) {
			ch.d.c.Answers[i].Teeth = casefile.SortTeeth(append(slices.Clone(a.Teeth), teeth...))
			ch.d.c.Answers[i].Places = casefile.SortPlaces(append(slices.Clone(a.Places), pairs...))
			return
		}
	}
	ch.d.c.Answers = append(ch.d.c.Answers, casefile.AnswerEntry{Change: change, Teeth: teeth, Places: pairs, Answer: answer})
}

// TryIn is what was noted at one sitting.
func (ch Chair) TryIn(n int) casefile.TryIn {
	for _, t := range ch.d.c.TryIns() {
		if t.Sitting == n {
			return t
		}
	}
	return casefile.TryIn{Sitting: n}
}

// EditTryIn changes what was noted at a sitting; nothing noted is not kept.
func (ch Chair) EditTryIn(n int, edit func(*casefile.TryIn)) {
	before := ch.TryIn(n)
	for _, s := range ch.Sittings() {
		if s.Number == n {
			before.Teeth = s.Teeth
		}
	}
	now := before
	edit(&now)
	if rest := now; now.Note != before.Note {
		rest.Note = before.Note
		if reflect.DeepEqual(rest, before) {
			defer ch.d.typing(fmt.Sprintf("try_in[%d].note", n), now.Note)()
		}
	}
	defer ch.d.edit()()
	for _, x := range []struct{ part, was, said string }{
		{"shade", before.Shade, now.Shade}, {"shape", before.Shape, now.Shape}, {"length", before.Length, now.Length},
	} {
		if x.was == x.said {
			continue
		}
		ch.unsay(n, x.part)
		switch x.said {
		case "approved":
			ch.d.noteInChair(casefile.Event{Kind: casefile.Approved, Sitting: n, Teeth: now.Teeth, Parts: []string{x.part}})
		case "change":
			ch.d.noteInChair(casefile.Event{Kind: casefile.ChangeWanted, Sitting: n, Teeth: now.Teeth, Parts: []string{x.part}})
		}
	}
	if now.Note != before.Note {
		ch.sayAtTryIn(n, now.Teeth, now.Note)
	}
}

// unsay takes back what was said of one part at a sitting.
func (ch Chair) unsay(sitting int, part string) {
	for {
		i := ch.d.c.Last(func(e casefile.Event) bool { return e.Sitting == sitting && slices.Contains(e.Parts, part) })
		if i == 0 {
			return
		}
		switch e := ch.d.c.Events[i-1]; {
		case len(e.Parts) > 1:
			ch.d.strike(i, nil, []string{part})
		default:
			ch.d.dropEvent(i)
			if e.Note != "" {
				ch.renote(casefile.Event{Kind: casefile.Tried, On: e.On, Sitting: e.Sitting, Teeth: e.Teeth, Note: e.Note})
			}
		}
	}
}

// renote notes anew what was noted before. It has no day where something is noted of
// a later one.
func (ch Chair) renote(e casefile.Event) {
	for _, x := range ch.d.c.History() {
		if e.On.Before(x.On) {
			e.On = casefile.Date{}
		}
	}
	ch.d.c.Note(e)
}

// sayAtTryIn keeps what was said at a sitting in words: one entry, while it is typed.
func (ch Chair) sayAtTryIn(sitting int, teeth []casefile.Tooth, note string) {
	ofSitting := func(e casefile.Event) bool {
		return e.Sitting == sitting && e.Note != "" && e.Kind != casefile.DoneStep
	}
	for i := ch.d.c.Last(ofSitting); i > 0; i = ch.d.c.Last(ofSitting) {
		e := ch.d.c.Events[i-1]
		ch.d.dropEvent(i)
		if e.Kind != casefile.Tried {
			e.Note = ""
			ch.renote(e)
		}
	}
	if note != "" {
		e := casefile.Event{Kind: casefile.Tried, Sitting: sitting, Teeth: teeth, Note: note}
		if i := ch.d.c.Last(func(e casefile.Event) bool { return e.Sitting == sitting }); i > 0 {
			e.On = ch.d.c.Events[i-1].On // as what it is about
		}
		ch.renote(e)
		ch.d.begun()
	}
}

// ToothState is how far one tooth has been changed, by what was noted.
func (ch Chair) ToothState(t casefile.Tooth) string {
	if s := ch.d.c.States(ch.d.words.Takes)[t]; s != "" {
		return s
	}
	return casefile.Untouched
}

// SetToothState notes how far some teeth have been changed. A step that was noted
// and took tooth away keeps its tooth shaped.
func (ch Chair) SetToothState(teeth []casefile.Tooth, state string) {
	defer ch.d.edit()()
	step := func(steps ...string) func(casefile.Event) bool {
		return func(e casefile.Event) bool { return e.Kind == casefile.DoneStep && slices.Contains(steps, e.Step) }
	}
	not := func(states ...string) []casefile.Tooth {
		now := ch.d.c.States(ch.d.words.Takes)
		return slices.DeleteFunc(slices.Clone(teeth), func(t casefile.Tooth) bool { return slices.Contains(states, now[t]) })
	}
	switch state {
	case casefile.Untouched:
		ch.d.takeBack(step(casefile.StepGlued, casefile.StepShaped, casefile.StepRemoved), teeth)
	case casefile.ShapedState:
		ch.d.takeBack(step(casefile.StepGlued), teeth)
		if rest := not(casefile.ShapedState); len(rest) > 0 {
			ch.d.noteInChair(casefile.Event{Kind: casefile.DoneStep, Step: casefile.StepShaped, Teeth: casefile.SortTeeth(rest)})
		}
	case casefile.BondedState:
		if rest := not(casefile.BondedState); len(rest) > 0 {
			ch.d.noteInChair(casefile.Event{Kind: casefile.DoneStep, Step: casefile.StepGlued, Teeth: casefile.SortTeeth(rest)})
		}
	}
}

// AddDone notes a chair change that happened. mm is its size; 0 is not said.
func (ch Chair) AddDone(change string, places []casefile.Place, mm float64, note string) {
	defer ch.d.adding("note", note)()
	e := casefile.Event{Kind: casefile.DoneStep, Change: change, SizeMM: mm, Note: note}
	e.Teeth, e.Places = at(places)
	ch.d.noteInChair(e)
}

// Ask notes a question and its answer.
func (ch Chair) Ask(q Question) {
	defer ch.d.adding("note", q.Why)()
	asked := casefile.Event{Kind: casefile.Asked, By: "dentist", Change: q.Change, SizeMM: q.SizeMM, Fee: q.Fee, Note: q.Why}
	asked.Teeth, asked.Places = at(q.Places)
	ch.d.noteInChair(asked)
	said := casefile.Event{Kind: casefile.Answered, By: q.By, How: q.How, Change: q.Change, Teeth: asked.Teeth, Places: asked.Places,
		SizeMM: q.SizeMM, Fee: q.Fee, Answer: q.Answer}
	ch.d.noteInChair(said)
}

// Reopen notes that the patient takes back a no; false on the day it was given,
// when nobody reopens it. Before anything is agreed a no is an answer beforehand, and
// becomes another one.
func (ch Chair) Reopen(change string, places []casefile.Place) bool {
	var beforehand, noted []casefile.Place
	for _, p := range places {
		switch was := ch.d.c.Standing(change, p); {
		case was.Answer != casefile.No || !was.On.IsZero() && !was.On.Before(ch.d.day()):
			return false
		case was.From == casefile.FromCase:
			beforehand = append(beforehand, p)
		default:
			noted = append(noted, p)
		}
	}
	defer ch.d.edit()()
	if len(beforehand) > 0 {
		ch.SetAnswer(change, beforehand, casefile.Ask)
	}
	if len(noted) > 0 {
		e := casefile.Event{Kind: casefile.Reopened, By: "patient", Change: change}
		e.Teeth, e.Places = at(noted)
		ch.d.noteInChair(e)
	}
	return true
}

// SayGluing notes the answer to gluing some teeth; blank takes it back.
func (ch Chair) SayGluing(teeth []casefile.Tooth, answer casefile.Answer) {
	defer ch.d.edit()()
	ch.d.takeBack(func(e casefile.Event) bool { return e.Kind == casefile.Answered && e.Step == casefile.StepGlued }, teeth)
	if answer != casefile.Blank {
		ch.d.noteInChair(casefile.Event{Kind: casefile.Answered, By: ch.d.Patient().People().Decides, Step: casefile.StepGlued, Answer: answer, Teeth: casefile.SortTeeth(teeth)})
	}
}

// GluingSaid is what was said to gluing some teeth, blank where they differ.
func (ch Chair) GluingSaid(teeth []casefile.Tooth) casefile.Answer {
	last := func(t casefile.Tooth) casefile.Answer {
		n := ch.d.c.Last(func(e casefile.Event) bool {
			return e.Kind == casefile.Answered && e.Step == casefile.StepGlued && slices.Contains(ch.d.c.Meant(e.Teeth), t)
		})
		if n == 0 {
			return casefile.Blank
		}
		return ch.d.c.Events[n-1].Answer
	}
	if len(teeth) == 0 || slices.ContainsFunc(teeth, func(t casefile.Tooth) bool { return last(t) != last(teeth[0]) }) {
		return casefile.Blank
	}
	return last(teeth[0])
}

// DoneSteps lists what is noted as done, asked, answered or reopened in the chair,
// with the number of each entry.
func (ch Chair) DoneSteps() []Noted {
	var out []Noted
	for _, e := range ch.d.c.Noted() {
		if e.Change != "" && slices.Contains([]casefile.EventKind{casefile.DoneStep, casefile.Asked, casefile.Answered, casefile.Reopened}, e.Kind) {
			out = append(out, e)
		}
	}
	return out
}

// counts reports whether the n-th event was not taken back.
func (ch Chair) counts(n int) bool {
	return slices.ContainsFunc(ch.d.c.Noted(), func(e Noted) bool { return e.Number == n })
}

// TakeBack takes the n-th event back, and what was said later about the same step
// and cannot have been said without it: the yes to a question, or what followed when
// a no was reopened.
func (ch Chair) TakeBack(n int) {
	if n < 1 || n > len(ch.d.c.Events) || !ch.counts(n) {
		return
	}
	defer ch.d.edit()()
	change := ch.d.c.Events[n-1].Change
	for ch.d.dropEvent(n); change != ""; ch.d.dropEvent(n) {
		if n = ch.unfounded(change); n == 0 {
			break
		}
	}
}

// unfounded is the number of the first entry about a step that the check refuses for
// what was said before it; 0 for none.
func (ch Chair) unfounded(change string) int {
	faults := ch.d.c.Check(ch.d.words)
	for _, e := range ch.d.c.Noted() {
		path := fmt.Sprintf("events[%d]", e.Number-1)
		if e.Change == change && slices.ContainsFunc(faults, func(f fault.Fault) bool {
			return strings.HasPrefix(f.Path, path) && slices.Contains([]string{"EVENT-NO", "EVENT-ASKED", "EVENT-REOPENED"}, f.Code)
		}) {
			return e.Number
		}
	}
	return 0
}

// Sittings lists the delivery sittings of the plan, one with all the teeth when
// the plan has none, and any other that something is noted for. What is noted of
// a sitting stays with the teeth that were looked at, however the plan divides
// them since; the others come to the next sitting that nothing is noted of.
func (ch Chair) Sittings() []Sitting {
	var out []Sitting
	if p := ch.d.Plan(); p != nil {
		for i, v := range p.Deliveries() {
			out = append(out, Sitting{i + 1, casefile.SortTeeth(v.Teeth), v.Likely})
		}
	}
	if len(out) == 0 {
		out = append(out, Sitting{Number: 1, Teeth: ch.d.Mouth().Teeth()})
	}
	var seen []casefile.Tooth
	left := ch.d.c.LookAgain(ch.d.today)
	for _, t := range ch.d.c.TryIns() {
		seen = append(seen, t.Teeth...)
		if !slices.ContainsFunc(out, func(s Sitting) bool { return s.Number == t.Sitting }) {
			out = append(out, Sitting{Number: t.Sitting, Teeth: t.Teeth})
		}
	}
	if len(seen) == 0 {
		return out
	}
	next, last := 0, 0 // first sitting that the others can come to
	for i := range out {
		last = max(last, out[i].Number)
		rest := slices.DeleteFunc(slices.Clone(out[i].Teeth), func(t casefile.Tooth) bool { return slices.Contains(seen, t) })
		if t := ch.TryIn(out[i].Number); len(t.Teeth) > 0 {
			out[i].Teeth = casefile.SortTeeth(t.Teeth)
			left = append(left, rest...)
			continue
		}
		out[i].Teeth = rest
	}
	if len(left) > 0 {
		for next < len(out) && len(ch.TryIn(out[next].Number).Teeth) > 0 {
			next++
		}
		if next == len(out) {
			out = append(out, Sitting{Number: last + 1})
		}
		out[next].Teeth = casefile.SortTeeth(append(out[next].Teeth, left...))
	}
	return slices.DeleteFunc(out, func(s Sitting) bool {
		return len(s.Teeth) == 0 && !slices.ContainsFunc(ch.d.c.TryIns(), func(t casefile.TryIn) bool { return t.Sitting == s.Number })
	})
}

// Beyond gives the limit that a step of this size goes beyond; false when it does not.
func (ch Chair) Beyond(change string, mm float64) (limit float64, over bool) {
	p := ch.d.Plan()
	if p == nil || mm <= 0 {
		return 0, false
	}
	limit, ok := p.Limit(change)
	return limit, ok && mm > limit
}

// Against sorts the places of a step by the answer that holds there. Blank counts
// as ask.
func (ch Chair) Against(change string, at []casefile.Place) (agreed, ask, no []casefile.Place) {
	c := ch.Counts()
	for _, p := range at {
		switch c.Standing(change, p).Answer {
		case casefile.Agree:
			agreed = append(agreed, p)
		case casefile.No:
			no = append(no, p)
		default:
			ask = append(ask, p)
		}
	}
	return agreed, ask, no
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

// Noted is one entry of the history with its number.
type Noted = casefile.Noted

// Sitting is one delivery sitting.
type Sitting struct {
	Number int
	Teeth  []casefile.Tooth
	Date   casefile.Date // likely; zero when not planned
}
