package plan

import (
	"cmp"
	"slices"
	"strconv"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// step is one appointment, or one run of like appointments, of a mouth's sequence.
type step struct {
	key, purpose string
	fee          string      // key of the visit in the data, for what the practice charges
	fixed        Estimate    // chair minutes whatever the number of teeth
	perTooth     []toothTime // each site at most once
	on           sites       // none where the visit is for the whole mouth
	repeat       Estimate    // how many like appointments
	repeatGap    *evidence.Figure
	gap          *evidence.Figure // after the step before
	why          string
	again        string           // why before a like appointment
	limit        *evidence.Figure // longest comfortable sitting, minutes; nil: never divided
	irreversible bool
	bonding      bool
	records      bool
	recheck      bool // shows whether what came before has worked
	within       bool // short visits inside the next step's interval; they move no later date
	whitening    bool
	gums         bool           // gum care
	lead         casefile.Route // the route that comes first whose visit it is; empty for the visits of what stays
	ledger       *ledger
	// Filled in once the sequence stands, the last two by track.
	minutes      Estimate // chair time of all the teeth together, once
	sittings     [3]int   // in how many sittings one appointment is divided
	appointments [3]int
}

// toothTime is the chair minutes that each tooth at some sites adds to a visit.
type toothTime struct {
	on      sites
	minutes Estimate
}

// sequence puts the visits of a mouth in order. Teeth on different routes share
// their visits by purpose: one consultation, the order of the route that takes
// most from the tooth, minutes added up tooth by tooth on each tooth's own route.
// What comes first (straightening, gum care, whitening) is put around the rest.
func (w *work) sequence(m mouth) []step {
	var leads, stays []casefile.Route
	for _, r := range m.routes() {
		stay := slices.ContainsFunc(m.paths, func(p int) bool { return w.paths[p].route == r })
		lead := slices.ContainsFunc(m.paths, func(p int) bool { return w.paths[p].lead == r })
		if stay && !lead {
			stays = append(stays, r)
		}
		if lead {
			leads = append(leads, r)
		}
	}
	// Whitening of one tooth beside veneers on others comes before their bonding.
	if slices.ContainsFunc(stays, func(r casefile.Route) bool { return restores(w.kind(r)) }) {
		var rest []casefile.Route
		for _, r := range stays {
			switch {
			case restores(w.kind(r)):
				rest = append(rest, r)
			case r != casefile.None:
				leads = append(leads, r)
			}
		}
		stays = rest
	}
	slices.SortStableFunc(leads, func(a, b casefile.Route) int { return slices.Index(leadOrder, a) - slices.Index(leadOrder, b) })
	var steps []step
	for i := len(stays) - 1; i >= 0; i-- { // the route that takes most stands last
		steps = merge(steps, w.routeSteps(stays[i], m))
	}
	for i := len(leads) - 1; i >= 0; i-- {
		steps = w.around(leads[i], m, steps)
	}
	unique(steps)
	for i := range steps {
		steps[i].settle(w)
	}
	return steps
}

// leadOrder is the order of what comes first where a mouth needs several: no tooth
// is moved while the gums are ill (care-pathway 3.2 and 4.4), and whitening, whose
// color drifts back, comes last, shortly before the shade is taken.
var leadOrder = []casefile.Route{casefile.GumCareFirst, casefile.StraighteningFirst, casefile.WhiteningHome, casefile.WhiteningInOffice}

// routeSteps is the visits of one route for the teeth that are on it. A route
// with only a beginning of its own goes on with the visits of another.
func (w *work) routeSteps(r casefile.Route, m mouth) []step {
	rule := w.b.Route(r)
	if rule == nil {
		w.fault("PLAN-ROUTE-MISSING", "routes."+string(r), "the data has no rule for this route")
		return nil
	}
	if i := slices.IndexFunc(m.sites, func(s site) bool { return s.route == r && s.via != "" && s.via != r }); i >= 0 {
		return w.around(r, m, w.routeSteps(m.sites[i].via, m))
	}
	out := w.room.steps.take(len(rule.Visits))
	for i := range rule.Visits {
		if v := &rule.Visits[i]; !v.Then {
			out = append(out, w.step(rule, v, m))
		}
	}
	return out
}

func (w *work) step(rule *evidence.RouteRule, v *evidence.VisitRule, m mouth) step {
	l := w.ledger()
	s := step{key: v.Key, fee: v.Key, purpose: v.Purpose, fixed: exactly(0), repeat: exactly(1), why: v.GapWhy, again: cmp.Or(v.RepeatWhy, v.GapWhy), irreversible: v.Irreversible,
		bonding: v.Bonding, records: v.Records, recheck: v.Recheck, within: v.Within, whitening: rule.Kind == kindWhitening,
		gums: rule.Key == casefile.GumCareFirst, ledger: l}
	if v.Minutes != "" {
		s.fixed = l.estimate(v.Minutes)
	}
	on := w.using(m, rule.Key)
	if v.MinutesPerTooth != "" && on != 0 {
		s.perTooth = append(w.room.times.take(2), toothTime{on, l.estimate(v.MinutesPerTooth)})
	}
	if v.MinutesPerTooth != "" || v.Bonding || v.Irreversible {
		s.on = on
	}
	if v.Repeat != "" {
		s.repeat = l.estimate(v.Repeat)
	}
	s.repeatGap, s.gap = l.find(v.RepeatGap), l.find(v.Gap)
	if v.LabByMaterial {
		s.labTime(w, m, on)
	}
	if v.Split {
		s.limit = l.find(rule.SplitAt)
	}
	return s
}

// labTime puts the longest laboratory time of the materials in place of the gap.
func (s *step) labTime(w *work, m mouth, on sites) {
	var lab *evidence.Figure
	var before casefile.Material
	for i := range m.sites {
		k := m.sites[i].material
		if !on.has(i) || k == before {
			continue
		}
		before = k
		rule := w.b.Material(k)
		if rule == nil || rule.Lab == "" {
			continue
		}
		if f := s.ledger.find(rule.Lab); f != nil && (lab == nil || f.Value > lab.Value) {
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
	s.fixed = widest(s.fixed, o.fixed)
	s.repeat = widest(s.repeat, o.repeat)
	// Where a tooth has its time from both, the other's counts.
	for _, b := range o.perTooth {
		for i := range s.perTooth {
			s.perTooth[i].on &^= b.on
		}
	}
	s.perTooth = append(s.perTooth, o.perTooth...)
	s.on |= o.on
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
	s.recheck = s.recheck || o.recheck
	s.ledger.ids.join(o.ledger.ids)
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
// the place the route names, else at its end. One consultation serves both.
func (w *work) around(lead casefile.Route, m mouth, rest []step) []step {
	rule := w.b.Route(lead)
	if rule == nil {
		w.fault("PLAN-ROUTE-MISSING", "routes."+string(lead), "the data has no rule for this route")
		return rest
	}
	before, after := w.room.steps.take(len(rule.Visits)), w.room.steps.take(len(rule.Visits))
	var place *evidence.VisitRule
	for i := range rule.Visits {
		switch v := &rule.Visits[i]; {
		case v.Then:
			place = v
		case place == nil:
			before = append(before, w.step(rule, v, m))
		default:
			after = append(after, w.step(rule, v, m))
		}
	}
	for i := range before {
		before[i].lead = lead
	}
	if len(rest) > 0 && len(before) > 0 && rest[0].purpose == before[0].purpose {
		before[0].fixed = widest(before[0].fixed, rest[0].fixed)
		before[0].ledger.ids.join(rest[0].ledger.ids)
		rest = rest[1:]
	}
	if place != nil && len(rest) > 0 {
		if f := rest[0].ledger.find(place.Gap); longer(f, rest[0].gap) {
			rest[0].gap, rest[0].why = f, place.GapWhy
		}
	}
	all := w.room.steps.take(len(before) + len(rest) + len(after))
	return append(append(append(all, before...), rest...), after...)
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

// settle counts the chair time of all the teeth, how many sittings it asks for on
// each track (the minutes divided by the longest comfortable sitting, rounded up:
// care-pathway 3.1, CV-18), and the appointments.
func (s *step) settle(w *work) {
	s.minutes = s.fixed
	if w.entries[0].Tooth != 0 { // else the minutes of teeth cannot be counted
		for _, t := range s.perTooth {
			if t.on != 0 {
				s.minutes = s.minutes.plus(t.minutes.times(float64(t.on.count())))
			}
		}
	}
	for t := range s.sittings {
		s.sittings[t] = 1
		if s.limit != nil && s.minutes.Known() && s.limit.Value > 0 {
			s.sittings[t] = max(1, up(s.minutes.at(t)/s.limit.Value))
		}
		s.appointments[t] = max(0, up(s.repeat.at(t))) * s.sittings[t]
	}
}

// share is the teeth and minutes of each of n sittings: the jaws one after the
// other, each from the midline outwards, left and right partners together as far
// as no sitting grows beyond the limit. The fixed minutes are divided evenly.
func (s *step) share(w *work, n int) (teeth [][]casefile.Tooth, minutes []Estimate) {
	all := w.teeth(s.on)
	if n <= 1 {
		return [][]casefile.Tooth{all}, []Estimate{s.minutes}
	}
	order := slices.Clone(all)
	rank := func(t casefile.Tooth) int {
		r := 2 * t.Position()
		if q := t.Quadrant(); q == 2 || q == 3 {
			r++
		}
		if !t.Upper() {
			r += 100
		}
		return r
	}
	slices.SortFunc(order, func(a, b casefile.Tooth) int { return rank(a) - rank(b) })
	pairs := make([][]casefile.Tooth, 0, len(order))
	for i, t := range order {
		if k := len(pairs) - 1; k >= 0 && pairs[k][0].Position() == t.Position() && pairs[k][0].Upper() == t.Upper() {
			pairs[k] = order[i-len(pairs[k]) : i+1 : i+1]
		} else {
			pairs = append(pairs, order[i:i+1:i+1])
		}
	}
	teeth = deal(pairs, len(order), n)
	minutes = s.each(w, teeth)
	if len(pairs) < n || slices.ContainsFunc(minutes, func(e Estimate) bool { return s.limit != nil && e.Likely > s.limit.Value }) {
		single := pairs[:0]
		for i := range order {
			single = append(single, order[i:i+1:i+1])
		}
		teeth = deal(single, len(order), n)
		minutes = s.each(w, teeth)
	}
	return teeth, minutes
}

// deal divides units of teeth, in order, into n parts of nearly the same number of teeth.
func deal(units [][]casefile.Tooth, total, n int) [][]casefile.Tooth {
	out := make([][]casefile.Tooth, n)
	i, done := 0, 0
	for k := range n {
		for i < len(units) && (len(out[k])*(n-k) < total-done || k == n-1) {
			out[k] = append(out[k], units[i]...)
			i++
		}
		done += len(out[k])
	}
	return out
}

func (s *step) each(w *work, teeth [][]casefile.Tooth) []Estimate {
	out := make([]Estimate, len(teeth))
	for k, ts := range teeth {
		out[k] = s.fixed.times(1 / float64(len(teeth)))
		for _, t := range ts {
			at := slices.IndexFunc(w.entries, func(e casefile.ToothEntry) bool { return e.Tooth == t })
			for i := range s.perTooth {
				if s.perTooth[i].on.has(at) {
					out[k] = out[k].plus(s.perTooth[i].minutes)
				}
			}
		}
	}
	return out
}
