package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// ToothColor is the reason for a step on a tooth that is much darker than the target.
const ToothColor = "tooth-color"

// Settled is the case with its answers as they count now. A step that needs no answer
// has none. A yes to one that is always asked, or, before anything was signed, to one
// that cannot be undone where nothing makes it likely, counts as ask. What was signed
// when two steps were one is refused in both. The file of the case keeps what was said.
func Settled(c casefile.Case, p casefile.Practice, b *evidence.Base) casefile.Case {
	c, _ = settle(c, p, b)
	return c
}

func settle(c casefile.Case, p casefile.Practice, b *evidence.Base) (casefile.Case, []Lowered) {
	out := []Lowered{}
	lower := func(from string) func(casefile.AnswerEntry, casefile.Answer) {
		return func(a casefile.AnswerEntry, as casefile.Answer) {
			out = append(out, Lowered{Key: a.Change, Teeth: notNil(a.Teeth), Places: notNil(a.Places), From: from, Answer: a.Answer, CountsAs: as})
		}
	}
	c.Answers = permittedAnswers(b, c.Answers, lower(casefile.FromCase))
	likelyAnswers(&c, p, b, true, lower(casefile.FromCase))
	counts := func(a casefile.Agreement, note func(casefile.AnswerEntry, casefile.Answer)) casefile.Agreement {
		chair := slices.DeleteFunc(c.History(), func(e casefile.Event) bool {
			return e.Kind != casefile.Answered || e.Answer != casefile.Agree
		})
		yes := onTheDay(b, a, c, chair)
		a.Answers = refusedBoth(b, permittedAnswers(b, a.Answers, note), a.ToothList())
		a.Answers = append(yes, a.Answers...) // before what it counts as elsewhere
		return a
	}
	if c.Agreed != nil {
		a := counts(*c.Agreed, lower(casefile.FromAgreement))
		c.Agreed = &a
	}
	c.AgreedBefore = slices.Clone(c.AgreedBefore)
	for i, a := range c.AgreedBefore {
		c.AgreedBefore[i] = counts(a, func(casefile.AnswerEntry, casefile.Answer) {})
	}
	return c, out
}

// permittedAnswers lowers the answers that a step does not take anywhere.
func permittedAnswers(b *evidence.Base, list []casefile.AnswerEntry, lowered func(casefile.AnswerEntry, casefile.Answer)) []casefile.AnswerEntry {
	var out []casefile.AnswerEntry
	for _, a := range list {
		rule := b.Change(a.Change)
		switch {
		case rule == nil || a.Answer == casefile.Blank || rule.Permits(a.Answer):
			out = append(out, a)
		case rule.Told():
			lowered(a, casefile.Blank)
		default:
			lowered(a, casefile.Ask)
			a.Answer = casefile.Ask
			out = append(out, a)
		}
	}
	return out
}

// onTheDay lists what an agreement has of a yes that was given in the chair to a step
// that is always asked: a signed change takes it in.
func onTheDay(b *evidence.Base, a casefile.Agreement, c casefile.Case, chair []casefile.Event) (out []casefile.AnswerEntry) {
	for _, x := range a.Answers {
		rule := b.Change(x.Change)
		if rule == nil || !rule.AlwaysAsked() || rule.OfContacts() || x.Answer != casefile.Agree {
			continue
		}
		teeth := x.Teeth
		if len(teeth) == 0 {
			teeth = a.ToothList()
		}
		yes := casefile.AnswerEntry{Change: x.Change, Answer: x.Answer}
		for _, t := range teeth {
			if slices.ContainsFunc(chair, func(e casefile.Event) bool {
				return e.Change == x.Change && slices.Contains(c.PlacesOf(e, false), casefile.At(t))
			}) {
				yes.Teeth = append(yes.Teeth, t)
			}
		}
		if len(yes.Teeth) > 0 {
			out = append(out, yes)
		}
	}
	return out
}

// refusedBoth adds, to the answers of an agreement, a no to a step that was one with
// another when that was refused, where it has no answer of its own.
func refusedBoth(b *evidence.Base, list []casefile.AnswerEntry, teeth []casefile.Tooth) []casefile.AnswerEntry {
	for _, x := range unsplit(b, list, teeth) {
		x.Answer = casefile.No
		list = slices.Insert(slices.Clone(list), 0, x) // before a blank of its own
	}
	return list
}

// unsplit lists the steps without an answer whose other half is refused.
func unsplit(b *evidence.Base, list []casefile.AnswerEntry, teeth []casefile.Tooth) (out []casefile.AnswerEntry) {
	said := casefile.Case{Answers: list}
	for i := range b.Changes {
		rule := &b.Changes[i]
		if rule.NoOf == "" {
			continue
		}
		var at []casefile.Tooth
		for _, t := range teeth {
			if p := casefile.At(t); said.AnswerAt(rule.Key, p) == casefile.Blank && said.AnswerAt(rule.NoOf, p) == casefile.No {
				at = append(at, t)
			}
		}
		if len(at) > 0 {
			out = append(out, casefile.AnswerEntry{Change: rule.Key, Teeth: at})
		}
	}
	return out
}

// ToSign is the case with its answers as the paper to sign has them. What was one step
// before has an answer to each half: none counts as ask.
func ToSign(c casefile.Case, p casefile.Practice, b *evidence.Base) casefile.Case {
	c = Settled(c, p, b)
	likelyAnswers(&c, p, b, false, func(casefile.AnswerEntry, casefile.Answer) {}) // what rests was not on the paper
	for _, x := range unsplit(b, c.Answers, c.ToothList()) {
		x.Answer = casefile.Ask
		c.Answers = slices.Insert(slices.Clone(c.Answers), 0, x)
	}
	return c
}

// likelyAnswers turns a yes to what cannot be undone into ask where nothing makes it
// likely. An answer that rests, on a route without the step, may be left as it is.
func likelyAnswers(c *casefile.Case, p casefile.Practice, b *evidence.Base, rest bool, lowered func(casefile.AnswerEntry, casefile.Answer)) {
	var m *mouth.Treatment
	for i := range b.Changes {
		rule := &b.Changes[i]
		yes := func(a casefile.AnswerEntry) bool { return a.Change == rule.Key && a.Answer == casefile.Agree }
		if !rule.NamedOnly() || !slices.ContainsFunc(c.Answers, yes) {
			continue
		}
		if m == nil {
			chosen := mouth.NewChart(basis.New(*c, p, b)).Chosen()
			m = &chosen
		}
		why := reasonsAt(m, rule)
		var unlikely []casefile.Place
		for _, at := range sitesOf(c, rule) {
			rests := !slices.ContainsFunc(at.Teeth(), func(t casefile.Tooth) bool { return comesUp(m, rule, t) })
			if !(rest && rests) && c.AnswerAt(rule.Key, at) == casefile.Agree && !slices.Contains(permittedAt(b, rule, at, why.likely(at)), casefile.Agree) {
				unlikely = append(unlikely, at)
			}
		}
		if len(unlikely) > 0 {
			lowered(entry(rule, casefile.Agree, unlikely), casefile.Ask)
			c.Answers = askedAt(c, rule, unlikely)
		}
	}
}

// sitesOf lists where a step can be answered: teeth of the case, or their contacts.
func sitesOf(c *casefile.Case, rule *evidence.Change) []casefile.Place {
	if rule.OfContacts() {
		return casefile.Contacts(c.ToothList())
	}
	return casefile.Places(c.ToothList())
}

// askedAt is the list of answers with those to one step place by place, ask at some.
func askedAt(c *casefile.Case, rule *evidence.Change, at []casefile.Place) []casefile.AnswerEntry {
	by := map[casefile.Answer][]casefile.Place{}
	for _, x := range sitesOf(c, rule) {
		a := c.AnswerAt(rule.Key, x)
		if slices.Contains(at, x) {
			a = casefile.Ask
		}
		by[a] = append(by[a], x)
	}
	out := slices.DeleteFunc(slices.Clone(c.Answers), func(a casefile.AnswerEntry) bool { return a.Change == rule.Key })
	for _, a := range answers[1:] {
		if len(by[a]) > 0 {
			out = append(out, entry(rule, a, by[a]))
		}
	}
	return out
}

// comesUp reports whether a tooth's route has a step.
func comesUp(m *mouth.Treatment, rule *evidence.Change, t casefile.Tooth) bool {
	i := slices.IndexFunc(m.Sites, func(s mouth.Site) bool { return s.Tooth == t })
	if i < 0 {
		return false
	}
	_, ok := reason(rule, &m.Sites[i])
	return ok
}

func entry(rule *evidence.Change, a casefile.Answer, at []casefile.Place) casefile.AnswerEntry {
	out := casefile.AnswerEntry{Change: rule.Key, Answer: a}
	if rule.OfContacts() {
		out.Places = at
		return out
	}
	for _, x := range at {
		out.Teeth = append(out.Teeth, x.A)
	}
	return out
}

// reasons are what names a tooth of the case as one where a step is likely: its own
// public findings, keys, and its color.
type reasons map[casefile.Tooth][]string

// reasonsAt lists the reasons for a change, by tooth. What is true of the whole mouth
// names no tooth.
func reasonsAt(m *mouth.Treatment, rule *evidence.Change) reasons {
	out := reasons{}
	for i := range m.Sites {
		out[m.Sites[i].Tooth] = nil
	}
	chart := m.Chart
	for i := range chart.Findings {
		f := &chart.Findings[i]
		if f.Whole || f.Rule.Private {
			continue
		}
		var on mouth.Sites
		for j := range rule.When {
			if slices.Contains(rule.When[j].Findings, f.Key) {
				on = on.Or(m.Through(rule.When[j].Routes).And(f.On))
			}
		}
		for j := range m.Sites {
			if t := m.Sites[j].Tooth; on[j] {
				out[t] = append(out[t], f.Key)
			}
		}
	}
	for i := range m.Sites {
		if site := &m.Sites[i]; darkEnough(chart.Basis, rule, site) {
			out[site.Tooth] = append(out[site.Tooth], ToothColor)
		}
	}
	return out
}

// darkEnough reports whether a tooth's color makes a step likely: the planning step for
// it names the step and, where it takes tooth, no study has porcelain of such a
// thickness hide the tooth.
func darkEnough(s *basis.Basis, rule *evidence.Change, site *mouth.Site) bool {
	if _, ok := reason(rule, site); !ok || !shaded(site) {
		return false
	}
	step := maskStep(s, site, s.Ledger(false))
	if step == nil || !slices.Contains(step.Changes, rule.Key) {
		return false
	}
	c := colour(s, site, false)
	return rule.Group != evidence.GroupTooth || c.ShowThrough == ShowLikely && (c.Room == "" || c.Room == RoomLess)
}

// likely reports whether a step is likely at a place: at a contact, whether each of
// its teeth that is in the case has a reason.
func (r reasons) likely(at casefile.Place) bool {
	some := false
	for _, t := range at.Teeth() {
		why, treated := r[t]
		if treated && len(why) == 0 {
			return false
		}
		some = some || treated
	}
	return some
}

// permittedAt lists the answers that a step takes at a place. What cannot be undone is
// agreed to only where it is likely, and a strip only where it has a side to take from.
func permittedAt(b *evidence.Base, rule *evidence.Change, at casefile.Place, likely bool) []casefile.Answer {
	out := slices.Clone(rule.Answers)
	limit := placeLimit(b, rule, at)
	if rule.NamedOnly() && (!likely || limit != nil && len(limit.Only) == 0) {
		out = slices.DeleteFunc(out, func(a casefile.Answer) bool { return a == casefile.Agree })
	}
	return notNil(out)
}

// placeLimit is the limit that a contact has of its own; nil without. A tooth with thin
// side walls is left alone on the side nearer the middle (care-pathway 1.3).
func placeLimit(b *evidence.Base, rule *evidence.Change, at casefile.Place) *PlaceLimit {
	if !rule.OfContacts() || rule.Removes != "enamel" {
		return nil
	}
	out := PlaceLimit{Place: at.String(), Only: []casefile.Tooth{}, Words: "sheet.change.strip-only"}
	for _, t := range at.Teeth() {
		if row := enamelRow(b, t); row != nil && row.ThinSide && nearerMiddle(at, t) {
			out.Spare = append(out.Spare, t)
		} else {
			out.Only = append(out.Only, t)
		}
	}
	switch {
	case len(out.Spare) == 0:
		return nil
	case len(out.Only) == 0:
		out.Words = "sheet.change.strip-none"
	}
	return &out
}

// nearerMiddle reports whether a contact is on the side of its tooth t that is nearer
// the middle of the arch.
func nearerMiddle(at casefile.Place, t casefile.Tooth) bool {
	other := at.A
	if other == t {
		other = at.B
	}
	return other%10 < t%10 || other%10 == 1 && t%10 == 1
}
