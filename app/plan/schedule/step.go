package schedule

import (
	"cmp"
	"slices"
	"strconv"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// step is one appointment, or one run of like appointments, of a mouth's sequence.
type step struct {
	key, purpose string
	fee          string         // key of the visit in the data, for what the practice charges
	fixed        basis.Estimate // chair minutes whatever the number of teeth
	perTooth     []toothTime    // each site at most once
	on           mouth.Sites    // none where the visit is for the whole mouth
	repeat       basis.Estimate // how many like appointments
	repeatGap    *evidence.Figure
	gap          *evidence.Figure // after the step before
	why          string
	again        string           // why before a like appointment
	limit        *evidence.Figure // longest comfortable sitting, minutes; nil: never divided
	irreversible bool
	bonding      bool
	records      bool
	signs        bool // the agreement is signed; the laboratory may start
	trial        bool // the trial smile
	covers       bool // temporary covers are on the teeth from here to the gluing
	withNext     bool // done at the next step's appointments
	within       bool // short visits inside the next step's interval; they move no later date
	whitening    bool
	lead         casefile.Route // the route that comes first whose visit it is; empty for the visits of what stays
	beside       []*step        // what is done at the same appointments
	ledger       *basis.Ledger
	// Filled in once the sequence is complete.
	minutes  basis.Estimate     // chair time of all the teeth together, once
	sittings [][]casefile.Tooth // the teeth of each sitting one appointment is divided into
}

// toothTime is the chair minutes that each tooth at some sites adds to a visit.
type toothTime struct {
	on      mouth.Sites
	minutes basis.Estimate
}

// appointments is how many there are on a track.
func (s *step) appointments(t int) int {
	return max(0, basis.Up(s.repeat.End(t))) * len(s.sittings)
}

// sequencer puts together the steps of a treatment.
type sequencer struct {
	basis *basis.Basis
	m     *mouth.Treatment
}

// sequence puts the visits of a mouth in order. Teeth on different routes share
// their visits by purpose: one consultation, the order of the route that takes
// most from the tooth, minutes added up tooth by tooth on each tooth's own route.
// What comes first (straightening, gum care, whitening) is put around the rest.
func sequence(m *mouth.Treatment) []step {
	q := sequencer{m.Chart.Basis, m}
	var leads, stays []casefile.Route
	for _, r := range m.Routes {
		stay := slices.ContainsFunc(m.Parts, func(p mouth.Part) bool { return p.Route == r })
		lead := slices.ContainsFunc(m.Parts, func(p mouth.Part) bool { return p.Lead == r })
		if stay && !lead {
			stays = append(stays, r)
		}
		if lead {
			leads = append(leads, r)
		}
	}
	// Whitening of one tooth beside veneers on others comes before their bonding.
	if slices.ContainsFunc(stays, func(r casefile.Route) bool { return mouth.Restores(m.Chart.Kind(r)) }) {
		var rest []casefile.Route
		for _, r := range stays {
			switch {
			case mouth.Restores(m.Chart.Kind(r)):
				rest = append(rest, r)
			case r != casefile.None:
				leads = append(leads, r)
			}
		}
		stays = rest
	}
	order.By(leads, func(a, b casefile.Route) int { return slices.Index(leadOrder, a) - slices.Index(leadOrder, b) })
	var steps []step
	for i := len(stays) - 1; i >= 0; i-- { // the route that takes most stands last
		steps = merge(steps, q.routeSteps(stays[i]))
	}
	for i := len(leads) - 1; i >= 0; i-- {
		steps = q.around(leads[i], steps)
	}
	steps = besides(steps)
	unique(steps)
	for i := range steps {
		steps[i].total(m.Chart)
	}
	divide(m.Chart, steps)
	return steps
}

// leadOrder is the order of what comes first where a mouth needs several: no tooth
// is moved while the gums are ill (care-pathway 3.2 and 4.4), and whitening, whose
// color drifts back, comes last, shortly before the shade is taken.
var leadOrder = []casefile.Route{casefile.GumCareFirst, casefile.StraighteningFirst, casefile.WhiteningHome, casefile.WhiteningInOffice}

// routeSteps is the visits of one route for the teeth that are on it. A route
// with only a beginning of its own goes on with the visits of another.
func (q sequencer) routeSteps(r casefile.Route) []step {
	rule := q.basis.Evidence.Route(r)
	if rule == nil {
		q.basis.Fault("PLAN-ROUTE-MISSING", "routes."+string(r), "the data has no rule for this route")
		return nil
	}
	if i := slices.IndexFunc(q.m.Sites, func(s mouth.Site) bool { return s.Route == r && s.Via != "" && s.Via != r }); i >= 0 {
		return q.around(r, q.routeSteps(q.m.Sites[i].Via))
	}
	var out []step
	for i := range rule.Visits {
		if v := &rule.Visits[i]; !v.Then {
			out = append(out, q.step(rule, v))
		}
	}
	return out
}

func (q sequencer) step(rule *evidence.RouteRule, v *evidence.VisitRule) step {
	s := plainStep(q.basis, v)
	s.whitening = rule.Kind == mouth.KindWhitening
	on := q.m.Using(rule.Key)
	if v.MinutesPerTooth != "" && on.Any() {
		s.perTooth = []toothTime{{on, s.ledger.Estimate(v.MinutesPerTooth)}}
	}
	if v.MinutesPerTooth != "" || v.Bonding || v.Irreversible {
		s.on = on
	}
	if v.LabByMaterial {
		s.labTime(q.m, on)
	}
	if v.Split {
		s.limit = s.ledger.Find(rule.SplitAt)
	}
	return s
}

// plainStep is a visit of the data that no tooth makes longer.
func plainStep(b *basis.Basis, v *evidence.VisitRule) step {
	l := b.Ledger(false)
	s := step{key: v.Key, fee: v.Key, purpose: v.Purpose, fixed: basis.Exactly(0), repeat: basis.Exactly(1), why: v.GapWhy, again: cmp.Or(v.RepeatWhy, v.GapWhy),
		irreversible: v.Irreversible, bonding: v.Bonding, records: v.Records, signs: v.Signs, trial: v.Purpose == evidence.TrialSmile,
		covers: v.Covers, withNext: v.WithNext, within: v.Within, sittings: make([][]casefile.Tooth, 1), ledger: l}
	if v.Minutes != "" {
		s.fixed = l.Estimate(v.Minutes)
	}
	if v.Repeat != "" {
		s.repeat = l.Estimate(v.Repeat)
	}
	s.repeatGap, s.gap = l.Find(v.RepeatGap), l.Find(v.Gap)
	return s
}

// labTime puts the longest laboratory time of the materials in place of the gap.
func (s *step) labTime(m *mouth.Treatment, on mouth.Sites) {
	var lab *evidence.Figure
	for i := range m.Sites {
		rule := m.Chart.Basis.Evidence.Material(m.Sites[i].Material)
		if !on[i] || rule == nil || rule.Lab == "" {
			continue
		}
		if f := s.ledger.Find(rule.Lab); f != nil && (lab == nil || f.Value > lab.Value) {
			lab = f
		}
	}
	if lab != nil {
		s.gap = lab
	}
}

// merge shares the visits of two routes by purpose, or where both bond, or where
// both take the records for the laboratory; the first argument's order leads.
func merge(into, more []step) []step {
	if into == nil {
		return more
	}
	last := -1
	for _, s := range more {
		i := slices.IndexFunc(into[last+1:], func(x step) bool {
			return x.purpose == s.purpose || x.bonding && s.bonding || x.records && s.records && !x.bonding && !s.bonding
		})
		if i < 0 {
			last++
			into = slices.Insert(into, last, s)
			continue
		}
		last += 1 + i
		into[last].join(s)
	}
	return into
}

func (s *step) join(o step) {
	s.fixed = s.fixed.Widest(o.fixed)
	s.repeat = s.repeat.Widest(o.repeat)
	// Where a tooth has its time from both, the other's counts.
	for _, b := range o.perTooth {
		for i := range s.perTooth {
			s.perTooth[i].on = s.perTooth[i].on.Without(b.on)
		}
	}
	s.perTooth = append(s.perTooth, o.perTooth...)
	s.on = s.on.Or(o.on)
	if longer(o.gap, s.gap) {
		s.gap, s.why = o.gap, o.why
	}
	if longer(o.repeatGap, s.repeatGap) {
		s.repeatGap = o.repeatGap
	}
	if s.limit == nil || o.limit != nil && o.limit.Value < s.limit.Value {
		s.limit = o.limit
	}
	s.irreversible = s.irreversible || o.irreversible
	s.bonding = s.bonding || o.bonding
	s.records = s.records || o.records
	s.covers = s.covers || o.covers
	s.ledger.Join(o.ledger)
}

// longer compares two intervals by their likely length in rough days; it only
// ranks, the dates themselves are counted on the calendar.
func longer(a, b *evidence.Figure) bool {
	days := func(f *evidence.Figure) float64 {
		if f == nil {
			return -1
		}
		switch f.Unit {
		case "weeks":
			return 7 * f.Value
		case "working-days":
			return 7 * f.Value / 5
		case "months":
			return 365.2425 / 12 * f.Value
		case "years":
			return 365.2425 * f.Value
		case "hours":
			return f.Value / 24
		}
		return f.Value
	}
	return days(a) > days(b)
}

// around puts the visits of what comes first around those of what follows: at
// the place the route names, else at its end. The consultation serves both, and so do
// the trial smile and the signature where the first of them has these.
func (q sequencer) around(lead casefile.Route, rest []step) []step {
	rule := q.basis.Evidence.Route(lead)
	if rule == nil {
		q.basis.Fault("PLAN-ROUTE-MISSING", "routes."+string(lead), "the data has no rule for this route")
		return rest
	}
	var before, after []step
	var place *evidence.VisitRule
	for i := range rule.Visits {
		switch v := &rule.Visits[i]; {
		case v.Then:
			place = v
		case place == nil:
			before = append(before, q.step(rule, v))
		default:
			after = append(after, q.step(rule, v))
		}
	}
	for i := range before {
		before[i].lead = lead
		s := &before[i]
		k := slices.IndexFunc(rest, func(x step) bool { return x.purpose == s.purpose })
		if k < 0 {
			continue
		}
		s.fixed = s.fixed.Widest(rest[k].fixed)
		s.ledger.Join(rest[k].ledger)
		rest = slices.Delete(rest, k, k+1)
	}
	if place != nil && len(rest) > 0 {
		if f := rest[0].ledger.Find(place.Gap); longer(f, rest[0].gap) {
			rest[0].gap, rest[0].why = f, place.GapWhy
		}
	}
	return slices.Concat(before, rest, after)
}

// besides puts what is done at the next step's appointments there, unless that step
// waits for a laboratory. It takes over the place: what the next step had to wait for
// in front of it, it waits for no more.
func besides(steps []step) []step {
	for i := len(steps) - 2; i >= 0; i-- {
		if !steps[i].withNext || steps[i+1].gap != nil && steps[i+1].gap.Unit == "working-days" {
			continue
		}
		s, n := steps[i], &steps[i+1]
		n.beside = append(n.beside, &s)
		n.gap, n.why = s.gap, s.why
		n.on = n.on.Or(s.on)
		n.irreversible, n.records = true, n.records || s.records
		n.covers = (n.covers || s.covers) && !n.bonding
		if n.limit == nil {
			n.limit = s.limit
		}
		n.ledger.Join(s.ledger)
		steps = slices.Delete(steps, i, i+1)
	}
	return steps
}

// unique gives a second step of the same key a number.
func unique(steps []step) {
	seen := map[string]int{}
	for i := range steps {
		seen[steps[i].key]++
		if n := seen[steps[i].key]; n > 1 {
			steps[i].key += "-again"
			if n > 2 {
				steps[i].key += "-" + strconv.Itoa(n)
			}
		}
	}
}

// total counts the chair time of all the teeth, with what is done beside.
func (s *step) total(c *mouth.Chart) {
	s.minutes = s.fixed
	if c.Entries[0].Tooth != 0 { // otherwise the minutes of teeth cannot be counted
		for _, t := range s.perTooth {
			if t.on.Any() {
				s.minutes = s.minutes.Plus(t.minutes.Times(float64(t.on.Count())))
			}
		}
	}
	for _, b := range s.beside {
		b.total(c)
		s.minutes = s.minutes.Plus(b.minutes)
	}
}

// share is the chair minutes of one sitting: its part of the fixed time and the time of
// its teeth, with what is done beside.
func (s *step) share(c *mouth.Chart, teeth []casefile.Tooth, sittings int) basis.Estimate {
	if sittings <= 1 {
		return s.minutes
	}
	out := s.fixed.Times(1 / float64(sittings))
	for _, t := range teeth {
		at := slices.IndexFunc(c.Entries, func(e casefile.ToothEntry) bool { return e.Tooth == t })
		for i := range s.perTooth {
			if s.perTooth[i].on[at] {
				out = out.Plus(s.perTooth[i].minutes)
			}
		}
	}
	for _, b := range s.beside {
		out = out.Plus(b.share(c, teeth, sittings))
	}
	return out
}
