package plan

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// outcome is one mouth worked through.
type outcome struct {
	mouth      mouth
	effects    []effect
	appliances []string
	schedule   schedule
	timetable  timetable // holds until the next mouth is dated
}

// outcome works a mouth through. The chosen one's visits are listed one by one;
// what is found of another holds until the next.
func (w *work) outcome(m mouth, chosen bool) outcome {
	o := outcome{mouth: m, effects: w.effects(m, chosen)}
	o.appliances = w.appliances(m, o.effects)
	o.schedule, o.timetable = w.schedule(o, chosen)
	return o
}

// routes gives every sensible route with the same facts, in the fixed order, no
// treatment first. The case's own route is the plan as chosen, with single teeth
// on other routes where the case has them; every other route is all the case's
// teeth on it. A route is left out only when its rule waits for a finding that
// this mouth does not have and nobody chose it.
func (w *work) routes(chosen outcome, ex []Expectation) []RouteFacts {
	out := make([]RouteFacts, 0, len(casefile.Routes()))
	for _, r := range casefile.Routes() {
		rule := w.b.Route(r)
		if rule == nil {
			continue
		}
		if r == w.c.Route {
			f := w.routeFacts(r, chosen, ex)
			f.Chosen = true
			f.Mixed = slices.ContainsFunc(w.c.Teeth, func(e casefile.ToothEntry) bool { return e.Route != "" && e.Route != r })
			out = append(out, f)
			continue
		}
		onTooth := slices.ContainsFunc(w.c.Teeth, func(e casefile.ToothEntry) bool { return e.Route == r })
		if len(rule.When) > 0 && !w.any(rule.When) && !onTooth && r != w.c.Then {
			continue
		}
		ledgers := len(w.room.given)
		o := w.outcome(w.onRoute(r), false)
		out = append(out, w.routeFacts(r, o, w.expectations(o.mouth, o.effects)))
		w.room.drop(ledgers)
	}
	return out
}

func (w *work) routeFacts(r casefile.Route, o outcome, ex []Expectation) RouteFacts {
	rule := w.b.Route(r)
	l := w.ledger()
	l.ids.join(o.schedule.figures)
	f := RouteFacts{Key: r, Teeth: w.teeth(o.mouth.all()), Visits: o.schedule.count.round(), Minutes: o.schedule.minutes.round(),
		Dates: o.schedule.last, Sittings: o.schedule.sittings, Numbing: rule.Numbing, Temporaries: rule.Temporaries,
		Reversible: rule.Reversible, Expectations: ex, Colour: w.colours(o.mouth), Risks: w.risks(o),
		LivingWith: "route." + string(r) + ".living", Level: publicLevel(o.effects)}
	f.Money = w.routeMoney(o, ex)
	for _, x := range w.c.Offered {
		if x.Route == r && x.Not {
			f.NotOffered = x.Reason
		}
	}
	if len(f.Teeth) == 0 && r.NeedsTeeth() { // nothing can be counted tooth by tooth
		f.Money = RouteMoney{Currency: f.Money.Currency, Later: []MoneyLater{}}
		f.Minutes = Estimate{Unknown: NoFigure}
	}
	// What follows, and single teeth on other routes, belong to the facts: the hardest of each counts.
	for _, k := range o.mouth.routes() {
		if x := w.b.Route(k); x != nil {
			f.Numbing = harder(f.Numbing, x.Numbing, "no", "seldom", "sometimes", "usual", "yes")
			f.Temporaries = harder(f.Temporaries, x.Temporaries, "no", "seldom", "yes")
			f.Reversible = harder(f.Reversible, x.Reversible, "yes", "teeth-move-back", "drifts-back", "mostly", "no-drilling-not-fully", "no")
		}
	}
	var takes taking
	for i, s := range o.mouth.sites {
		switch {
		case i == 0:
			takes, f.Material = *w.taken(s), s.material
		case s.way == o.mouth.sites[i-1].way:
			continue
		default:
			takes = takes.join(w.taken(s), w)
		}
		if s.lead == r {
			f.Then = s.route
		}
		if s.material != f.Material {
			f.Material = ""
		}
	}
	l.ids.join(takes.ids)
	f.Removal = takes.removal(w)
	for _, id := range rule.Figures {
		l.find(id)
	}
	f.Figures = l.close()
	return f
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
func (w *work) standings(routes []RouteFacts) []Standing {
	out := make([]Standing, 0, len(w.c.Priorities))
	l := w.ledger()
	facts := make([]RouteFact, 0, len(w.c.Priorities)*len(routes))
	for _, key := range w.c.Priorities {
		i := slices.IndexFunc(w.b.Priorities, func(p evidence.Priority) bool { return p.Key == key })
		if i < 0 {
			w.fault("PLAN-PRIORITY-MISSING", "priorities."+key, "the data has no rule for this priority")
			continue
		}
		s := Standing{Priority: key, Fact: w.b.Priorities[i].Fact}
		if s.Fact == "expectations" { // of the two endpoints, how long it stays
			s.Fact = InPlace
		}
		start := len(facts)
		for i := range routes {
			facts = append(facts, w.standing(s.Fact, &routes[i], l))
		}
		s.Routes = slices.Clip(facts[start:])
		out = append(out, s)
	}
	return out
}

// standing is one route's fact. Where no study or fee answers, it is unknown.
func (w *work) standing(fact string, r *RouteFacts, l *ledger) RouteFact {
	f := RouteFact{Route: r.Key, Value: Estimate{Unknown: NoFigure}, Figures: []string{}}
	switch fact {
	case "removal":
		f.Value, f.Figures = r.Removal.most(), r.Removal.Figures
	case "visits":
		f.Value, f.Figures = r.Visits, r.Figures
	case "minutes":
		f.Value, f.Figures = r.Minutes, r.Figures
	case "dates":
		f.Date, f.Figures = r.Dates.Likely, r.Figures
		f.Value = exactly(0)
	case "reversible":
		f.Words = "undo." + r.Reversible
		f.Value = exactly(0)
	case "money":
		f.Value = Estimate{Unknown: NoFee}
		if r.Money.Known {
			f.Value = exactly(float64(r.Money.Today))
		}
	case "in-place", "nothing-needed":
		// What has porcelain and filling material from different settings in one mouth has no mean of its own.
		if e := w.middle(fact, r, l); e != nil {
			f.Value, f.Figures = e.PerTooth, e.Figures
		}
		if f.Value.Known() && !(r.Comparable && OneSetting(r.Expectations)) {
			f.Value = Estimate{Unknown: OtherSetting}
		}
	case "colour": // no number tells how white: what the route does to the color, in words
		f.Words = "route." + string(cmp.Or(r.Then, r.Key)) + ".lightest"
		if r.Mixed {
			f.Words = "sheet.options.mixed-lightest"
		}
		f.Value = exactly(0)
	default:
		w.fault("PLAN-FACT-MISSING", "priorities", "no route has the fact %q", fact)
	}
	return f
}

// middle is what is expected by the middle horizon, over all the teeth; nil where
// the route has no such entry.
func (w *work) middle(endpoint string, r *RouteFacts, l *ledger) *Expectation {
	h := l.ruled("horizon-2")
	if h == nil {
		return nil
	}
	var out *Expectation
	for i := range r.Expectations {
		if e := &r.Expectations[i]; e.Endpoint == endpoint && e.Years == up(h.Value) {
			out = e // the entry of the whole mouth stands last
		}
	}
	return out
}
