package plan

import (
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

// likelyAt is why a change may become necessary on one tooth.
type likelyAt struct {
	site site
	when evidence.When
	seen bool // a finding or the tooth's color brings it up, not the route alone
}

// often ranks how often a change happens; higher is more often.
var often = []string{"unknown", "rare", "seldom", "sometimes", "common", "usual"}

// chairChanges lists the departures that may become necessary, in the order of
// the data, the teeth of each gathered by the patient's answer.
func (w *work) chairChanges(m mouth, es []effect) []ChairChange {
	out := []ChairChange{}
	for i := range w.b.Changes {
		rule := &w.b.Changes[i]
		out = append(out, w.changeRows(rule, w.changeTeeth(rule, m, es))...)
	}
	return out
}

// changeTeeth finds the teeth a change may touch, each with its likeliest reason.
// Private findings bring nothing up: their effect must not be read off a sheet.
func (w *work) changeTeeth(rule *evidence.Change, m mouth, es []effect) []likelyAt {
	var out []likelyAt
	add := func(l likelyAt) {
		i := slices.IndexFunc(out, func(x likelyAt) bool { return x.site.tooth == l.site.tooth })
		if i < 0 {
			out = append(out, l)
		} else if !out[i].seen && l.seen || out[i].seen == l.seen &&
			slices.Index(often, l.when.Often) > slices.Index(often, out[i].when.Often) {
			out[i] = l
		}
	}
	for _, s := range m.sites {
		for _, when := range rule.When {
			if !s.on(when.Routes) {
				continue
			}
			if len(when.Findings) == 0 {
				add(likelyAt{s, when, false})
			} else if w.reaches(rule, m, s, when.Findings) {
				add(likelyAt{s, when, true})
			}
		}
		// A finding may name the change itself, and so may a tooth much darker than the target.
		if !w.named(rule.Key, s, m, es) && !w.darkens(rule.Key, s) {
			continue
		}
		if when, ok := reason(rule, s); ok {
			add(likelyAt{s, when, true})
		}
	}
	// An answer once given is never dropped.
	for _, a := range w.c.Answers {
		if a.Change != rule.Key {
			continue
		}
		for _, s := range m.sites {
			if (len(a.Teeth) == 0 || slices.Contains(a.Teeth, s.tooth)) && !slices.ContainsFunc(out, func(x likelyAt) bool { return x.site.tooth == s.tooth }) {
				when, _ := reason(rule, s)
				out = append(out, likelyAt{s, evidence.When{Trigger: when.Trigger, Often: "unknown"}, false})
			}
		}
	}
	return out
}

// reason is the rule's reason on this tooth's route, one that rests on a finding
// first; false when the route has none, with the rule's first reason.
func reason(rule *evidence.Change, s site) (evidence.When, bool) {
	for _, seen := range []bool{true, false} {
		for _, when := range rule.When {
			if s.on(when.Routes) && len(when.Findings) > 0 == seen {
				return when, true
			}
		}
	}
	if len(rule.When) > 0 {
		return rule.When[0], false
	}
	return evidence.When{}, false
}

// reaches reports whether a public one of the findings brings the change to a
// tooth. A contact belongs to both its teeth, so there a neighbor's finding counts.
func (w *work) reaches(rule *evidence.Change, m mouth, s site, findings []string) bool {
	for _, k := range findings {
		f := w.b.Finding(k)
		if f == nil || f.Private {
			continue
		}
		if m.has(s, k) {
			return true
		}
		for _, o := range m.sites {
			if !slices.Contains(o.own, k) {
				continue
			}
			if rule.Over == "all" || rule.Over == "opposing" || rule.Over == "contacts" && slices.Contains(s.tooth.Neighbors(), o.tooth) {
				return true
			}
		}
	}
	return false
}

// named reports whether a public finding of this tooth asks for the change.
func (w *work) named(change string, s site, m mouth, es []effect) bool {
	return slices.ContainsFunc(es, func(e effect) bool {
		return !e.private && m.has(s, e.key) && slices.ContainsFunc(w.on(s, e.rule), func(x evidence.Effect) bool { return slices.Contains(x.Changes, change) })
	})
}

// darkens reports whether the tooth is so much darker than the target that the
// planning step for it names the change.
func (w *work) darkens(change string, s site) bool {
	step := w.maskStep(s, w.ledger())
	return step != nil && slices.Contains(step.Changes, change)
}

// answer is what the patient said about a change of one tooth; an answer without
// teeth is for all of them.
func (w *work) answer(change string, t veneer.Tooth) veneer.Answer {
	for _, a := range w.c.Answers {
		if a.Change == change && (len(a.Teeth) == 0 || slices.Contains(a.Teeth, t)) {
			return a.Answer
		}
	}
	return veneer.Blank
}

func (w *work) changeRows(rule *evidence.Change, at []likelyAt) []ChairChange {
	var out []ChairChange
	for _, answer := range []veneer.Answer{veneer.Blank, veneer.Agree, veneer.Ask, veneer.No} {
		var teeth []veneer.Tooth
		best := evidence.When{}
		first := true
		for _, x := range at {
			if w.answer(rule.Key, x.site.tooth) != answer {
				continue
			}
			teeth = append(teeth, x.site.tooth)
			if first || slices.Index(often, x.when.Often) > slices.Index(often, best.Often) {
				best, first = x.when, false
			}
		}
		if len(teeth) > 0 {
			out = append(out, w.changeRow(rule, answer, veneer.SortTeeth(teeth), best))
		}
	}
	return out
}

func (w *work) changeRow(rule *evidence.Change, answer veneer.Answer, teeth []veneer.Tooth, when evidence.When) ChairChange {
	l := w.ledger()
	teeth = named(teeth)
	c := ChairChange{Key: rule.Key, Teeth: teeth, Trigger: when.Trigger, PerSurface: rule.PerSurface, Removes: rule.Removes,
		Place: rule.Place, Reversible: rule.Reversible, Answer: answer, ActsAs: actsAs(rule, answer), ForAll: rule.Reversible == "yes",
		TellOnly: rule.TellOnly, TalkFirst: rule.TalkFirst, NewConsent: rule.NewConsent, Often: when.Often,
		Minutes: l.estimate(rule.Minutes).round(), PerTooth: rule.PerTooth, Visits: exactly(0), Numbing: rule.Numbing,
		AskAnyway:  AskAnyway{Always: rule.AlwaysAsk, Words: "change." + rule.Key + ".limit"},
		Likelihood: Estimate{Unknown: NoStudy}, Contacts: [][2]veneer.Tooth{}}
	if f, ok := l.figure(rule.Size); ok {
		c.LowMM, c.HighMM = mm(f.Low), mm(f.High)
	}
	if f, ok := l.figure(rule.AskAnyway); ok {
		c.AskAnyway.OverMM = mm(f.Value)
	}
	if rule.Visits != "" {
		c.Visits = l.estimate(rule.Visits).round()
	}
	// How often is a habit of the trade until the practice has put its own figure.
	if f, ok := w.b.Figure(when.Likelihood); ok {
		if own, replaced := w.own(f); replaced {
			l.figure(when.Likelihood)
			c.Likelihood = estimateOf(own).round()
		}
	}
	for _, id := range rule.Figures {
		l.figure(id)
	}
	l.figure(rule.Lab)
	l.figure(rule.Wait)
	if rule.Over == "contacts" {
		c.Contacts = contacts(teeth)
	}
	c.Figures = l.list()
	return c
}

// actsAs is what an answer means in the chair: blank acts as ask, a change that
// is always asked at the time acts as ask whatever was agreed, and one that is
// only told asks for no answer at all.
func actsAs(rule *evidence.Change, a veneer.Answer) veneer.Answer {
	switch {
	case rule.TellOnly && a == veneer.Blank:
		return veneer.Blank
	case a == veneer.Blank, rule.AlwaysAsk && a == veneer.Agree:
		return veneer.Ask
	}
	return a
}

// contacts lists the contacts of the teeth, each once, in chart order; the
// neighbor may be a tooth without a veneer.
func contacts(teeth []veneer.Tooth) [][2]veneer.Tooth {
	out := [][2]veneer.Tooth{}
	for _, t := range teeth {
		for _, n := range t.Neighbors() {
			pair := veneer.SortTeeth([]veneer.Tooth{t, n})
			p := [2]veneer.Tooth{pair[0], pair[1]}
			if !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}

func mm(v float64) *float64 {
	r := round4(v)
	return &r
}
