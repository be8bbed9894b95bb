package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
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
// promised less than may come; the answer stays the first's, and permitted is what
// both permit.
func (c ChairChange) Together(d ChairChange) ChairChange {
	c.Teeth = casefile.SortTeeth(append(slices.Clone(c.Teeth), d.Teeth...))
	c.Contacts = append(slices.Clone(c.Contacts), d.Contacts...)
	c.Places = append(slices.Clone(c.Places), d.Places...)
	c.ThinSides = slices.Compact(casefile.SortTeeth(append(slices.Clone(c.ThinSides), d.ThinSides...)))
	c.PlaceLimits = append(slices.Clone(c.PlaceLimits), d.PlaceLimits...)
	c.Permitted = slices.DeleteFunc(slices.Clone(c.Permitted), func(a casefile.Answer) bool { return !slices.Contains(d.Permitted, a) })
	c.Likely = c.Likely && d.Likely
	for _, k := range d.Because {
		if !slices.Contains(c.Because, k) {
			c.Because = append(slices.Clone(c.Because), k)
		}
	}
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
func chairChanges(o *outcome) []ChairChange {
	out := make([]ChairChange, 0, 2*len(o.Evidence.Changes))
	asked := askedChanges(o)
	for i := range o.Evidence.Changes {
		rule := &o.Evidence.Changes[i]
		out = append(out, changeRows(o, rule, changeTeeth(o, rule, asked[rule.Key]))...)
	}
	return out
}

// askedChanges gives, by change, the sites where a public finding names it or
// where the tooth is so much darker than the target that the planning step does.
func askedChanges(o *outcome) map[string]mouth.Sites {
	out := map[string]mouth.Sites{}
	add := func(changes []string, on mouth.Sites) {
		for _, k := range changes {
			out[k] = out[k].Or(on)
		}
	}
	for _, p := range o.treatment.Parts {
		for i := range o.effects {
			e := &o.effects[i]
			on := e.On.And(p.On)
			if e.Private || !on.Any() {
				continue
			}
			if first := p.Does[e.At].First; first != nil {
				add(first.Changes, on)
			}
			add(p.Does[e.At].Stays.Changes, on)
		}
	}
	l := o.Ledger(false)
	for i, s := range o.treatment.Sites {
		if !shaded(&s) {
			continue
		}
		if step := maskStep(o.Basis, &s, l); step != nil {
			add(step.Changes, mouth.One(i))
		}
	}
	return out
}

// changeTeeth finds the teeth a change may touch, each with its likeliest reason.
// Private findings bring nothing up: their effect must not be read off a sheet.
func changeTeeth(o *outcome, rule *evidence.Change, asked mouth.Sites) []likelyAt {
	if rule.Several && len(o.treatment.Sites) < 2 {
		return nil
	}
	best := make([]likelyAt, len(o.treatment.Sites)) // by site; without a when: none
	add := func(on mouth.Sites, when *evidence.When, seen bool) {
		x := likelyAt{when: when, often: rank(when.Often), seen: seen}
		for i := range best {
			b := &best[i]
			if on[i] && (b.when == nil || !b.seen && seen || b.seen == seen && x.often > b.often) {
				x.site = i
				*b = x
			}
		}
	}
	for j := range rule.When {
		when := &rule.When[j]
		on := o.treatment.Through(when.Routes)
		if on.Any() && len(when.Findings) > 0 {
			on = on.And(reached(o, rule, when.Findings))
		}
		add(on, when, len(when.Findings) > 0)
	}
	// A finding may name the change itself, and so may a tooth much darker than the target.
	for i := range o.treatment.Sites {
		if when, ok := reason(rule, &o.treatment.Sites[i]); ok && asked[i] {
			add(mouth.One(i), when, true)
		}
	}
	out := answeredTeeth(o, rule, best)
	return append(slices.DeleteFunc(best, func(x likelyAt) bool { return x.when == nil }), out...)
}

// answeredTeeth lists the teeth that only an answer names: once given, it is kept.
// Where nothing is done to single teeth no step can happen at all; see resting.
func answeredTeeth(o *outcome, rule *evidence.Change, found []likelyAt) (out []likelyAt) {
	for _, a := range o.Case.Answers {
		if a.Change != rule.Key || rule.Told() {
			continue
		}
		for i := range o.treatment.Sites {
			s := &o.treatment.Sites[i]
			named := slices.ContainsFunc(out, func(x likelyAt) bool { return x.site == i })
			if named || found[i].when != nil || !a.Names(s.Tooth) {
				continue
			}
			when, ok := reason(rule, s)
			if !ok && !s.Route.NeedsTeeth() {
				continue
			}
			out = append(out, likelyAt{site: i, when: &evidence.When{Trigger: when.Trigger, Often: "unknown"}, rests: !ok})
		}
	}
	return out
}

// resting gives the answers about teeth on which nothing is done now: they are
// kept, and count again on a route that has the step.
func resting(o *outcome, live []ChairChange) []Resting {
	out := []Resting{}
	if len(o.Case.Answers) == 0 {
		return out
	}
	for i := range o.Evidence.Changes {
		key := o.Evidence.Changes[i].Key
		for _, answer := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No} {
			var teeth []casefile.Tooth
			for _, s := range o.treatment.Sites {
				if said(o.Basis, &o.Evidence.Changes[i], s.Tooth) == answer && !slices.ContainsFunc(live, func(c ChairChange) bool {
					return c.Key == key && (len(c.Teeth) == 0 || slices.Contains(c.Teeth, s.Tooth))
				}) {
					teeth = append(teeth, s.Tooth)
				}
			}
			if len(teeth) > 0 {
				out = append(out, Resting{Key: key, Teeth: withoutZero(casefile.SortTeeth(teeth)), Answer: answer})
			}
		}
	}
	return out
}

// reason is the rule's reason on this tooth's route, one that rests on a finding
// first; false when the route has none, with the rule's first reason.
func reason(rule *evidence.Change, s *mouth.Site) (*evidence.When, bool) {
	for _, seen := range []bool{true, false} {
		for i := range rule.When {
			if when := &rule.When[i]; s.On(when.Routes) && len(when.Findings) > 0 == seen {
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
func reached(o *outcome, rule *evidence.Change, findings []string) mouth.Sites {
	var on, own mouth.Sites // own: of single teeth
	chart := o.treatment.Chart
	for i := range chart.Findings {
		f := &chart.Findings[i]
		if f.Rule.Private || !slices.Contains(findings, f.Key) {
			continue
		}
		on = on.Or(f.On)
		if !f.Whole {
			own = own.Or(f.On)
		}
	}
	switch {
	case !own.Any():
	case rule.Over == "all" || rule.Over == "opposing":
		return chart.All()
	case rule.Over == "contacts":
		for i, s := range o.treatment.Sites {
			for j, t := range o.treatment.Sites {
				if own[j] && slices.Contains(s.Tooth.Neighbors(), t.Tooth) {
					on[i] = true
				}
			}
		}
	}
	return on
}

// said is what the patient said about a change on one tooth, for a change of
// contacts at one of its contacts.
func said(s *basis.Basis, rule *evidence.Change, t casefile.Tooth) casefile.Answer {
	if !rule.OfContacts() {
		return s.Case.AnswerAt(rule.Key, casefile.At(t))
	}
	for _, p := range casefile.Contacts([]casefile.Tooth{t}) {
		if a := s.Case.AnswerAt(rule.Key, p); a != casefile.Blank {
			return a
		}
	}
	return casefile.Blank
}

// changeRow gathers the places that share an answer and what may be answered.
type changeRow struct {
	answer casefile.Answer
	likely bool // named by a finding of its own, or by its color
	rests  bool
	teeth  []casefile.Tooth
	places []casefile.Place
	best   *likelyAt
}

// changeRows gives one row for the places of each answer, those that something names
// as likely before the others, those on which the change rests behind.
func changeRows(o *outcome, rule *evidence.Change, at []likelyAt) []ChairChange {
	why := reasonsAt(&o.treatment, rule)
	rows := teethRows
	if rule.OfContacts() {
		rows = contactRows
	}
	list := rows(o, rule, at, why)
	first := func(r *changeRow) int {
		n := 2 * slices.Index(answers[:], r.answer)
		if !r.likely {
			n++
		}
		if r.rests {
			n += 2 * len(answers)
		}
		return n
	}
	order.By(list, func(a, b *changeRow) int { return first(a) - first(b) })
	var out []ChairChange
	for _, r := range list {
		c := newChange(o, rule, r.answer, withoutZero(casefile.SortTeeth(r.teeth)), r.best.when)
		c.Likely, c.Rests = r.likely, r.rests
		c.Permitted = permittedAt(o.Evidence, rule, casefile.Place{}, r.likely)
		if rule.OfContacts() {
			between(o.Evidence, &c, rule, r.places)
			c.Permitted = permittedAt(o.Evidence, rule, r.places[0], r.likely)
		}
		c.Because = because(o, r, why)
		out = append(out, c)
	}
	return out
}

// rowFor finds the row of one answer and what may be answered, or begins it.
func rowFor(list []*changeRow, answer casefile.Answer, likely, rests bool) ([]*changeRow, *changeRow) {
	if !slices.Contains(answers[:], answer) { // what is no answer counts as none
		answer = casefile.Blank
	}
	for _, r := range list {
		if r.answer == answer && r.likely == likely && r.rests == rests {
			return list, r
		}
	}
	r := &changeRow{answer: answer, likely: likely, rests: rests}
	return append(list, r), r
}

// meet keeps the likeliest reason of a row.
func (r *changeRow) meet(x *likelyAt) {
	if r.best == nil || x.often > r.best.often {
		r.best = x
	}
}

func teethRows(o *outcome, rule *evidence.Change, at []likelyAt, why reasons) (list []*changeRow) {
	for i := range at {
		t := o.treatment.Sites[at[i].site].Tooth
		p := casefile.At(t)
		var r *changeRow
		list, r = rowFor(list, o.Case.AnswerAt(rule.Key, p), why.likely(p), at[i].rests)
		r.teeth = append(r.teeth, t)
		r.meet(&at[i])
	}
	return list
}

// contactRows puts each contact in its row. A contact is asked about once, whichever
// of its teeth the change may come up on; its neighbor may be a tooth without a veneer.
// A mouth whose teeth are not entered yet has no contact to ask about.
func contactRows(o *outcome, rule *evidence.Change, at []likelyAt, why reasons) (list []*changeRow) {
	var teeth []casefile.Tooth
	of := map[casefile.Tooth]*likelyAt{}
	for i := range at {
		t := o.treatment.Sites[at[i].site].Tooth
		teeth, of[t] = append(teeth, t), &at[i]
	}
	for _, p := range casefile.SortPlaces(casefile.Contacts(teeth)) {
		if apart(&o.treatment, p) { // there is nothing to open
			continue
		}
		x := of[p.A]
		if y := of[p.B]; x == nil || y != nil && (x.rests && !y.rests || x.rests == y.rests && y.often > x.often) {
			x = y
		}
		likely := why.likely(p)
		if limit := placeLimit(o.Evidence, rule, p); limit != nil && len(limit.Only) == 0 {
			likely = false // there is no side to take from
		}
		var r *changeRow
		list, r = rowFor(list, o.Case.AnswerAt(rule.Key, p), likely, x.rests)
		r.places = append(r.places, p)
		for _, t := range p.Teeth() {
			if of[t] != nil {
				r.teeth = append(r.teeth, t)
			}
		}
		r.meet(x)
	}
	return list
}

// because lists what makes a change likely at the places of a row: findings of its
// teeth, their color, and of the whole mouth what the reason given names.
func because(o *outcome, r *changeRow, why reasons) []string {
	out := []string{}
	add := func(k string) {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	for _, t := range r.teeth {
		if r.likely {
			for _, k := range why[t] {
				add(k)
			}
		}
	}
	for i := range o.treatment.Chart.Findings {
		if f := &o.treatment.Chart.Findings[i]; f.Whole && !f.Rule.Private && slices.Contains(r.best.when.Findings, f.Key) {
			add(f.Key)
		}
	}
	return out
}

// apart reports whether two teeth have a gap between them: a finding of both of them says so.
func apart(m *mouth.Treatment, p casefile.Place) bool {
	return slices.ContainsFunc(m.Chart.Findings, func(f mouth.Finding) bool {
		return f.Rule.Gap && !f.Whole && slices.Contains(f.Teeth, p.A) && slices.Contains(f.Teeth, p.B)
	})
}

// between puts the contacts of a row in.
func between(b *evidence.Base, c *ChairChange, rule *evidence.Change, places []casefile.Place) {
	c.Places = c.Places[:0]
	for _, p := range places {
		t := p.Teeth()
		c.Contacts = append(c.Contacts, [2]casefile.Tooth{t[0], t[1]})
		c.Places = append(c.Places, p.String())
	}
	for _, p := range places {
		if limit := placeLimit(b, rule, p); limit != nil {
			c.PlaceLimits = append(c.PlaceLimits, *limit)
		}
	}
	if rule.Removes == "enamel" {
		c.ThinSides = thinSides(b, c.Contacts)
	}
}

func newChange(o *outcome, rule *evidence.Change, answer casefile.Answer, teeth []casefile.Tooth, when *evidence.When) ChairChange {
	l := o.Ledger(false)
	c := ChairChange{Key: rule.Key, Teeth: teeth, Trigger: when.Trigger, PerSurface: rule.PerSurface, Removes: rule.Removes,
		Place: rule.Place, Reversible: rule.Reversible, Answer: answer, ActsAs: actsAs(rule, answer), ForAll: rule.Reversible == "yes",
		TellOnly: rule.Told(), TalkFirst: rule.TalkFirst, NewConsent: rule.NewConsent, Often: when.Often,
		Minutes: l.Estimate(rule.Minutes).Round(), PerTooth: rule.PerTooth, Visits: basis.Exactly(0), Numbing: rule.Numbing,
		AskAnyway:  AskAnyway{Always: rule.AlwaysAsked(), Words: "change." + rule.Key + ".limit"},
		Likelihood: Estimate{Unknown: NoStudy}, Contacts: [][2]casefile.Tooth{}, PlaceLimits: []PlaceLimit{}}
	if f := l.Find(rule.Size); f != nil {
		c.LowMM, c.HighMM = mm(f.Low), mm(f.High)
	}
	if f := l.Find(rule.AskAnyway); f != nil {
		c.AskAnyway.OverMM = mm(f.Value)
	}
	if rule.Visits != "" {
		c.Visits = l.Estimate(rule.Visits).Round()
	}
	// How often is a habit of the trade until the practice has put its own figure.
	if f := o.Evidence.FigureOf(when.Likelihood); f != nil {
		if own, replaced := o.Own(f); replaced {
			l.Find(when.Likelihood)
			c.Likelihood = basis.EstimateOf(own).Round()
		}
	}
	l.FindAll(rule.Figures)
	c.Lab, c.Wait = basis.Exactly(0), basis.Exactly(0)
	if rule.Lab != "" {
		c.Lab = l.Estimate(rule.Lab).Round()
	}
	if rule.Wait != "" {
		c.Wait = l.Estimate(rule.Wait).Round()
	}
	c.Group, c.Places = rule.Group, make([]string, 0, len(teeth))
	for _, t := range teeth {
		if t != 0 {
			c.Places = append(c.Places, t.String())
		}
	}
	c.Figures = l.IDs()
	return c
}

// actsAs is what an answer means in the chair: blank acts as ask; a change that is
// only told asks for no answer at all.
func actsAs(rule *evidence.Change, a casefile.Answer) casefile.Answer {
	if a == casefile.Blank && !rule.Told() {
		return casefile.Ask
	}
	return a
}

// thinSides are the teeth at the contacts whose side walls are thin, in chart order.
func thinSides(b *evidence.Base, contacts [][2]casefile.Tooth) []casefile.Tooth {
	var out []casefile.Tooth
	for _, c := range contacts {
		for _, t := range c {
			if row := enamelRow(b, t); row != nil && row.ThinSide && !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	return casefile.SortTeeth(out)
}

func mm(v float64) *float64 {
	r := basis.Round4(v)
	return &r
}
