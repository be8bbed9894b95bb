package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// likelyAt is why a change may become necessary on one tooth.
type likelyAt struct {
	site  int
	when  *evidence.When
	often int  // its rank
	seen  bool // a finding or the tooth's color brings it up, not the route alone
	rests bool // only an answer given earlier names it; on this route it is not a departure
}

// answers are in the order in which a change's rows stand.
var answers = [...]casefile.Answer{casefile.Blank, casefile.Agree, casefile.Ask, casefile.No}

// often ranks how often a change happens; higher is more often.
var often = []string{"unknown", "rare", "seldom", "sometimes", "common", "usual"}

func rank(k string) int { return slices.Index(often, k) }

// Together joins two entries of one change that differ by answer or by the way of
// their teeth. How often is told of the teeth that meet it most, so that nobody is
// promised less than may come; the answer stays the first's.
func (c ChairChange) Together(d ChairChange) ChairChange {
	c.Teeth = casefile.SortTeeth(append(slices.Clone(c.Teeth), d.Teeth...))
	c.Contacts = append(slices.Clone(c.Contacts), d.Contacts...)
	c.Places = append(slices.Clone(c.Places), d.Places...)
	c.ThinSides = slices.Compact(casefile.SortTeeth(append(slices.Clone(c.ThinSides), d.ThinSides...)))
	if rank(d.Often) > rank(c.Often) {
		c.Often = d.Often
	}
	if d.Likelihood.Known() && (!c.Likelihood.Known() || d.Likelihood.Likely > c.Likelihood.Likely) {
		c.Likelihood = d.Likelihood
	}
	return c
}

// chairChanges lists the departures that may become necessary, in the order of
// the data, the teeth of each gathered by the patient's answer.
func (w *work) chairChanges(o outcome) []ChairChange {
	out := w.room.changes[:0]
	asked := w.askedChanges(o)
	for i := range w.b.Changes {
		rule := &w.b.Changes[i]
		out = w.changeRows(out, rule, w.changeTeeth(rule, o.mouth, asked[rule.Key]))
	}
	w.room.changes = out
	return append(make([]ChairChange, 0, len(out)), out...)
}

// askedChanges gives, by change, the sites where a public finding names it or
// where the tooth is so much darker than the target that the planning step does.
func (w *work) askedChanges(o outcome) map[string]sites {
	out := w.room.changed
	clear(out)
	l := w.ledger()
	for k, p := range o.mouth.paths {
		for i := range o.effects {
			e := &o.effects[i]
			on := e.on & o.mouth.on[k]
			if e.private || on == 0 {
				continue
			}
			does := &w.paths[p].does[e.at]
			if does.first != nil {
				for _, k := range does.first.Changes {
					out[k] |= on
				}
			}
			for _, k := range does.stays.Changes {
				out[k] |= on
			}
		}
	}
	for on := w.shaded; on != 0; on &= on - 1 {
		if step := w.maskStep(o.mouth.sites[on.first()], l); step != nil {
			for _, k := range step.Changes {
				out[k] |= on & -on
			}
		}
	}
	return out
}

// changeTeeth finds the teeth a change may touch, each with its likeliest reason.
// Private findings bring nothing up: their effect must not be read off a sheet.
func (w *work) changeTeeth(rule *evidence.Change, m mouth, asked sites) []likelyAt {
	var found sites
	var best [32]likelyAt
	add := func(on sites, when *evidence.When, seen bool) {
		x := likelyAt{when: when, often: rank(when.Often), seen: seen}
		for ; on != 0; on &= on - 1 {
			x.site = on.first()
			if b := &best[x.site]; !found.has(x.site) || !b.seen && seen || b.seen == seen && x.often > b.often {
				*b = x
				found |= 1 << x.site
			}
		}
	}
	for j := range rule.When {
		when := &rule.When[j]
		on := w.through(m, when.Routes)
		if on != 0 && len(when.Findings) > 0 {
			on &= w.reached(rule, m, when.Findings)
		}
		add(on, when, len(when.Findings) > 0)
	}
	// A finding may name the change itself, and so may a tooth much darker than the target.
	for on := asked; on != 0; on &= on - 1 {
		if when, ok := reason(rule, &m.sites[on.first()]); ok {
			add(on&-on, when, true)
		}
	}
	out := w.room.likely[:0]
	for on := found; on != 0; on &= on - 1 {
		out = append(out, best[on.first()])
	}
	// An answer once given is kept. Where nothing is done to single teeth no step
	// can happen at all; see resting.
	for _, a := range w.c.Answers {
		if a.Change != rule.Key {
			continue
		}
		for i := range m.sites {
			s := &m.sites[i]
			if !found.has(i) && a.Names(s.tooth) {
				when, ok := reason(rule, s)
				if !ok && !s.route.NeedsTeeth() {
					continue
				}
				found |= 1 << i
				out = append(out, likelyAt{site: i, when: &evidence.When{Trigger: when.Trigger, Often: "unknown"}, rests: !ok})
			}
		}
	}
	w.room.likely = out // used up before the next change
	return out
}

// resting gives the answers about teeth on which nothing is done now: they are
// kept, and count again on a route that has the step.
func (w *work) resting(o outcome, live []ChairChange) []Resting {
	out := []Resting{}
	if len(w.c.Answers) == 0 {
		return out
	}
	for i := range w.b.Changes {
		key := w.b.Changes[i].Key
		for _, answer := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No} {
			var teeth []casefile.Tooth
			for _, s := range o.mouth.sites {
				if w.said(&w.b.Changes[i], s.tooth) == answer && !slices.ContainsFunc(live, func(c ChairChange) bool {
					return c.Key == key && (len(c.Teeth) == 0 || slices.Contains(c.Teeth, s.tooth))
				}) {
					teeth = append(teeth, s.tooth)
				}
			}
			if len(teeth) > 0 {
				out = append(out, Resting{Key: key, Teeth: named(casefile.SortTeeth(teeth)), Answer: answer})
			}
		}
	}
	return out
}

// reason is the rule's reason on this tooth's route, one that rests on a finding
// first; false when the route has none, with the rule's first reason.
func reason(rule *evidence.Change, s *site) (*evidence.When, bool) {
	for _, seen := range []bool{true, false} {
		for i := range rule.When {
			if when := &rule.When[i]; s.on(when.Routes) && len(when.Findings) > 0 == seen {
				return when, true
			}
		}
	}
	if len(rule.When) > 0 {
		return &rule.When[0], false
	}
	return &evidence.When{}, false
}

// reached gives the sites to which a public one of the findings brings a change.
// A contact belongs to both its teeth, so there a neighbor's finding counts.
func (w *work) reached(rule *evidence.Change, m mouth, findings []string) sites {
	var on, own sites // own: of single teeth
	for i := range w.here {
		f := &w.here[i]
		if f.rule.Private || !slices.Contains(findings, f.key) {
			continue
		}
		on |= f.on
		if !f.whole {
			own |= f.on
		}
	}
	switch {
	case own == 0:
	case rule.Over == "all" || rule.Over == "opposing":
		return ^sites(0)
	case rule.Over == "contacts":
		for i, s := range m.sites {
			for j, o := range m.sites {
				if own.has(j) && slices.Contains(s.tooth.Neighbors(), o.tooth) {
					on |= 1 << i
				}
			}
		}
	}
	return on
}

// said is what the patient said about a change on one tooth, for a change of
// contacts at one of its contacts.
func (w *work) said(rule *evidence.Change, t casefile.Tooth) casefile.Answer {
	if !rule.OfContacts() {
		return w.c.AnswerAt(rule.Key, casefile.At(t))
	}
	for _, p := range casefile.Contacts([]casefile.Tooth{t}) {
		if a := w.c.AnswerAt(rule.Key, p); a != casefile.Blank {
			return a
		}
	}
	return casefile.Blank
}

// changeRows adds one row for the teeth of each answer, those on which the change
// rests behind.
func (w *work) changeRows(out []ChairChange, rule *evidence.Change, at []likelyAt) []ChairChange {
	if rule.OfContacts() {
		return w.contactRows(out, rule, at)
	}
	var rows [2 * len(answers)]struct {
		on   sites
		best *likelyAt
	}
	for i := range at {
		x := &at[i]
		k := max(0, slices.Index(answers[:], w.c.AnswerAt(rule.Key, casefile.At(w.entries[x.site].Tooth)))) // what is no answer counts as none
		if x.rests {
			k += len(answers)
		}
		r := &rows[k]
		r.on |= 1 << x.site
		if r.best == nil || x.often > r.best.often {
			r.best = x
		}
	}
	for k, r := range rows {
		if r.on != 0 {
			out = append(out, ChairChange{})
			c := &out[len(out)-1]
			w.changeRow(c, rule, answers[k%len(answers)], w.teeth(r.on), r.best.when)
			c.Rests = k >= len(answers)
		}
	}
	return out
}

// contactRows adds one row for the contacts of each answer. A contact is asked
// about once, whichever of its teeth the change may come up on; its neighbor may
// be a tooth without a veneer.
func (w *work) contactRows(out []ChairChange, rule *evidence.Change, at []likelyAt) []ChairChange {
	var teeth []casefile.Tooth
	of := map[casefile.Tooth]*likelyAt{}
	for i := range at {
		t := w.entries[at[i].site].Tooth
		teeth, of[t] = append(teeth, t), &at[i]
	}
	type row struct {
		places []casefile.Place
		best   *likelyAt
	}
	rows := make([]row, 2*len(answers))
	for _, p := range casefile.SortPlaces(casefile.Contacts(teeth)) {
		x := of[p.A]
		if o := of[p.B]; x == nil || o != nil && (x.rests && !o.rests || x.rests == o.rests && o.often > x.often) {
			x = o
		}
		k := max(0, slices.Index(answers[:], w.c.AnswerAt(rule.Key, p)))
		if x.rests {
			k += len(answers)
		}
		r := &rows[k]
		r.places = append(r.places, p)
		if r.best == nil || x.often > r.best.often {
			r.best = x
		}
	}
	for k, r := range rows {
		if len(r.places) == 0 {
			continue
		}
		var mine []casefile.Tooth
		for _, p := range r.places {
			for _, t := range p.Teeth() {
				if of[t] != nil {
					mine = append(mine, t)
				}
			}
		}
		out = append(out, ChairChange{})
		c := &out[len(out)-1]
		w.changeRow(c, rule, answers[k%len(answers)], casefile.SortTeeth(mine), r.best.when)
		w.between(c, rule, r.places)
		c.Rests = k >= len(answers)
	}
	return out
}

// between puts the contacts of a row in.
func (w *work) between(c *ChairChange, rule *evidence.Change, places []casefile.Place) {
	c.Places = c.Places[:0]
	for _, p := range places {
		t := p.Teeth()
		c.Contacts = append(c.Contacts, [2]casefile.Tooth{t[0], t[1]})
		c.Places = append(c.Places, p.String())
	}
	if rule.Removes == "enamel" || rule.Removes == "either" {
		c.ThinSides = w.thinSides(c.Contacts)
	}
}

func (w *work) changeRow(c *ChairChange, rule *evidence.Change, answer casefile.Answer, teeth []casefile.Tooth, when *evidence.When) {
	l := w.ledger()
	*c = ChairChange{Key: rule.Key, Teeth: teeth, Trigger: when.Trigger, PerSurface: rule.PerSurface, Removes: rule.Removes,
		Place: rule.Place, Reversible: rule.Reversible, Answer: answer, ActsAs: actsAs(rule, answer), ForAll: rule.Reversible == "yes",
		TellOnly: rule.TellOnly, TalkFirst: rule.TalkFirst, NewConsent: rule.NewConsent, Often: when.Often,
		Minutes: l.estimate(rule.Minutes).round(), PerTooth: rule.PerTooth, Visits: exactly(0), Numbing: rule.Numbing,
		AskAnyway:  AskAnyway{Always: rule.AlwaysAsk, Words: "change." + rule.Key + ".limit"},
		Likelihood: Estimate{Unknown: NoStudy}, Contacts: [][2]casefile.Tooth{}}
	if f := l.find(rule.Size); f != nil {
		c.LowMM, c.HighMM = mm(f.Low), mm(f.High)
	}
	if f := l.find(rule.AskAnyway); f != nil {
		c.AskAnyway.OverMM = mm(f.Value)
	}
	if rule.Visits != "" {
		c.Visits = l.estimate(rule.Visits).round()
	}
	// How often is a habit of the trade until the practice has put its own figure.
	if n, ok := w.b.Place(when.Likelihood); ok {
		if own, replaced := w.own(w.b.At(n)); replaced {
			l.find(when.Likelihood)
			c.Likelihood = estimateOf(own).round()
		}
	}
	for _, id := range rule.Figures {
		l.find(id)
	}
	c.Lab, c.Wait = exactly(0), exactly(0)
	if rule.Lab != "" {
		c.Lab = l.estimate(rule.Lab).round()
	}
	if rule.Wait != "" {
		c.Wait = l.estimate(rule.Wait).round()
	}
	c.Group, c.Places = rule.Group, make([]string, 0, len(teeth))
	for _, t := range teeth {
		if t != 0 {
			c.Places = append(c.Places, t.String())
		}
	}
	c.Figures = l.close()
}

// actsAs is what an answer means in the chair: blank acts as ask, a change that
// is always asked at the time acts as ask whatever was agreed, and one that is
// only told asks for no answer at all.
func actsAs(rule *evidence.Change, a casefile.Answer) casefile.Answer {
	switch {
	case rule.TellOnly && a == casefile.Blank:
		return casefile.Blank
	case a == casefile.Blank, rule.AlwaysAsk && a == casefile.Agree:
		return casefile.Ask
	}
	return a
}

// thinSides are the teeth at the contacts whose side walls are thin, in chart order.
func (w *work) thinSides(contacts [][2]casefile.Tooth) []casefile.Tooth {
	var out []casefile.Tooth
	for _, c := range contacts {
		for _, t := range c {
			if row := w.enamelRow(t); row != nil && row.ThinSide && !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	return casefile.SortTeeth(out)
}

func mm(v float64) *float64 {
	r := round4(v)
	return &r
}
