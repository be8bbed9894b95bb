package plan

import (
	"cmp"
	"maps"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
	"plainleaf/app/plan/outlook"
)

// routes gives every sensible route with the same facts, in the fixed order, no
// treatment first. The case's own route is the plan as chosen, with single teeth
// on other routes where the case has them; every other route is all the case's teeth on
// it, or those with a finding it is there for. A route is left out only when this mouth
// has no such finding and nobody named it.
func routes(chosen *outcome, ex []Expectation) []RouteFacts {
	out := make([]RouteFacts, 0, len(casefile.Routes()))
	c := &chosen.Case
	chart := chosen.treatment.Chart
	for _, r := range casefile.Routes() {
		if chosen.Evidence.Route(r) == nil {
			continue
		}
		if r == c.Route {
			f := routeFacts(r, chosen, ex)
			f.Chosen = true
			f.Mixed = slices.ContainsFunc(c.Teeth, func(e casefile.ToothEntry) bool { return e.Route != "" && e.Route != r })
			out = append(out, f)
			continue
		}
		on := chart.Worth(r)
		named := r == c.Then || slices.ContainsFunc(c.Offered, func(x casefile.Offer) bool { return x.Route == r }) ||
			slices.ContainsFunc(c.Teeth, func(e casefile.ToothEntry) bool { return e.Route == r })
		if !on.Any() && named {
			on = chart.All()
		}
		m := chart.OnRoute(r, on)
		if !on.Any() || slices.Equal(m.Sites, chosen.treatment.Sites) { // the chosen plan itself
			continue
		}
		o := newOutcome(chosen.cal, m, false)
		f := routeFacts(r, o, outlook.For(&o.treatment, o.effects))
		if on != chart.All() {
			f.Teeth, f.Partly = chart.Teeth(on), true
		}
		out = append(out, f)
	}
	onTable(c, out)
	markComparable(out)
	return out
}

// onTable marks the routes that are offered. No treatment and the chosen route always are;
// where the dentist has named others, only those are, else all that nobody took away.
func onTable(c *casefile.Case, routes []RouteFacts) {
	named := slices.ContainsFunc(c.Offered, func(x casefile.Offer) bool { return !x.Not })
	for i := range routes {
		f := &routes[i]
		k := slices.IndexFunc(c.Offered, func(x casefile.Offer) bool { return x.Route == f.Key })
		switch {
		case f.Chosen || f.Key == casefile.None:
			f.OnTable = true
		case k >= 0 && c.Offered[k].Not:
			f.NotOffered = c.Offered[k].Reason
		default:
			f.OnTable = k >= 0 || !named
		}
	}
}

func routeFacts(r casefile.Route, o *outcome, ex []Expectation) RouteFacts {
	rule := o.Evidence.Route(r)
	l := o.Ledger(false)
	l.Join(o.schedule.Ledger)
	m := &o.treatment
	f := RouteFacts{Key: r, Teeth: m.Chart.Teeth(m.Chart.All()), Visits: o.schedule.Count.Round(), Minutes: o.schedule.Minutes.Round(),
		Dates: o.schedule.Last, Sittings: o.schedule.Sittings, Numbing: rule.Numbing, Temporaries: rule.Temporaries,
		Reversible: rule.Reversible, Expectations: ex, Colour: colours(m),
		LivingWith: "living." + rule.Living, Level: publicLevel(o.effects), Held: o.held}
	f.Risks = risks(o, f.Colour)
	f.Money = routeMoney(o, ex)
	if rule.Kind == mouth.KindNone {
		f.Waiting = waiting(o)
	}
	if len(f.Teeth) == 0 && r.NeedsTeeth() { // nothing can be counted tooth by tooth
		f.Money = RouteMoney{Currency: f.Money.Currency, Later: []MoneyLater{}}
		f.Minutes = basis.Unknown(NoFigure)
	}
	// What follows, and single teeth on other routes, belong to the facts: the hardest of each counts.
	for _, k := range m.Routes {
		if x := o.Evidence.Route(k); x != nil {
			f.Numbing = harder(f.Numbing, x.Numbing, "no", "seldom", "sometimes", "usual", "yes")
			f.Temporaries = harder(f.Temporaries, x.Temporaries, "no", "seldom", "yes")
			f.Reversible = harder(f.Reversible, x.Reversible, "yes", "teeth-move-back", "drifts-back", "mostly", "no-drilling-not-fully", "no")
		}
	}
	took := o.Ledger(false)
	var removal Removal
	for i, p := range m.Parts {
		if x := taken(o.Evidence, p.Route, p.Via, took); i == 0 {
			removal = x
		} else {
			removal = removal.join(x)
		}
	}
	f.Material = m.Sites[0].Material
	for i := range m.Sites {
		s := &m.Sites[i]
		if s.Lead == r {
			f.Then = s.Route
		}
		if s.Material != f.Material {
			f.Material = ""
		}
	}
	l.Join(took)
	f.Removal = removal.shown(took)
	l.FindAll(rule.Figures)
	f.Figures = l.IDs()
	return f
}

// waiting lists the findings for which doing nothing means something.
func waiting(o *outcome) (out []Waiting) {
	for _, f := range o.treatment.Chart.Findings {
		if f.Rule.Waiting && !f.Rule.Private {
			out = append(out, Waiting{f.Key, withoutZero(f.Teeth)})
		}
	}
	return out
}

// harder is the one that stands later in an order from easy to hard.
func harder(a, b string, order ...string) string {
	if slices.Index(order, b) > slices.Index(order, a) {
		return b
	}
	return a
}

// standings puts the routes beside each other on each of the patient's
// priorities, in the patient's own order: facts, never a score.
func standings(s *basis.Basis, routes []RouteFacts) []Standing {
	out := []Standing{}
	for _, key := range s.Case.Priorities {
		i := slices.IndexFunc(s.Evidence.Priorities, func(p evidence.Priority) bool { return p.Key == key })
		if i < 0 {
			s.Fault("PLAN-PRIORITY-MISSING", "priorities."+key, "the data has no rule for this priority")
			continue
		}
		x := Standing{Priority: key, Fact: s.Evidence.Priorities[i].Fact, Routes: make([]RouteFact, 0, len(routes))}
		if x.Fact == "expectations" { // of the two endpoints, how long it stays
			x.Fact = InPlace
		}
		for i := range routes {
			x.Routes = append(x.Routes, standing(s, x.Fact, &routes[i]))
		}
		out = append(out, x)
	}
	return out
}

// standing is one route's fact. Where no study or fee answers, it is unknown.
func standing(s *basis.Basis, fact string, r *RouteFacts) RouteFact {
	f := RouteFact{Route: r.Key, Value: basis.Unknown(NoFigure), Figures: []string{}}
	switch fact {
	case "removal":
		f.Value, f.Figures = r.Removal.most(), r.Removal.Figures
	case "visits":
		f.Value, f.Figures = r.Visits, r.Figures
	case "minutes":
		f.Value, f.Figures = r.Minutes, r.Figures
	case "dates":
		f.Date, f.Figures = r.Dates.Likely, r.Figures
		if f.Value = basis.Exactly(0); f.Date.IsZero() {
			f.Value = basis.Unknown(basis.OnHold)
		}
	case "reversible":
		f.Words = "undo." + r.Reversible
		f.Value = basis.Exactly(0)
	case "money":
		f.Value, f.Years = r.Money.Over.Cost, r.Money.Over.Years
		if f.Value.Known() && !(r.Comparable && OneSetting(r.Expectations)) {
			f.Value = basis.Unknown(OtherSetting) // how often it is replaced would be compared
		}
	case "in-place", "nothing-needed":
		// What has porcelain and filling material from different settings in one mouth has no mean of its own.
		if e := middle(s, fact, r); e != nil {
			f.Value, f.Figures = e.PerTooth, e.Figures
		}
		if f.Value.Known() && !(r.Comparable && OneSetting(r.Expectations)) {
			f.Value = basis.Unknown(OtherSetting)
		}
	case "colour": // no number tells how white: what the route does to the color, in words
		f.Words = "route." + string(cmp.Or(r.Then, r.Key)) + ".lightest"
		if r.Mixed {
			f.Words = "sheet.options.mixed-lightest"
		}
		f.Value = basis.Exactly(0)
	default:
		s.Fault("PLAN-FACT-MISSING", "priorities", "no route has the fact %q", fact)
	}
	return f
}

// middle is what is expected by the middle horizon, over all the teeth; nil where
// the route has no such entry.
func middle(s *basis.Basis, endpoint string, r *RouteFacts) *Expectation {
	h := s.Ledger(false).Rule("horizon-2")
	if h == nil {
		return nil
	}
	var out *Expectation
	for i := range r.Expectations {
		if e := &r.Expectations[i]; e.Endpoint == endpoint && e.Years == basis.Up(h.Value) {
			out = e // the entry of the whole mouth comes last
		}
	}
	return out
}

// markComparable marks the routes whose expectations may be shown beside those of the
// chosen route and beside each other: what is known of an endpoint rests on one anchor.
// Where the chosen route has no number, the first ceramic one that has leads, since the
// others are read beside it.
func markComparable(routes []RouteFacts) {
	lead := slices.IndexFunc(routes, func(r RouteFacts) bool { return r.Chosen && r.numbers(false) })
	if lead < 0 {
		lead = slices.IndexFunc(routes, func(r RouteFacts) bool { return r.numbers(true) && OneSetting(r.Expectations) })
	}
	shown, alone := map[string]string{}, false // by endpoint; alone: a mouth of several anchors has none beside it
	if lead >= 0 {
		of, one := outlook.Anchors(routes[lead].Expectations)
		shown, alone = of, !one
	}
	for k := range routes {
		r := &routes[k]
		of, one := outlook.Anchors(r.Expectations)
		for endpoint, anchor := range of {
			one = one && cmp.Or(shown[endpoint], anchor) == anchor
		}
		r.Comparable = k == lead || one && (!alone || len(of) == 0)
		if one {
			maps.Copy(shown, of)
		}
	}
}

// numbers reports whether anything is known of the route's restorations; with
// ceramic set, of ceramic ones.
func (r *RouteFacts) numbers(ceramic bool) bool {
	return slices.ContainsFunc(r.Expectations, func(e Expectation) bool {
		return e.Known && e.Material != "" && !(ceramic && outlook.Composite(e.Material))
	})
}

// OneSetting reports whether the groups of one mouth rest on studies that may be
// shown beside each other.
func OneSetting(mouth []Expectation) bool { return outlook.OneSetting(mouth) }

// AlikeTeeth sorts expectations by teeth that share an outlook.
func AlikeTeeth(list []Expectation) []Alike { return outlook.AlikeTeeth(list) }
