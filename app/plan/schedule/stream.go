package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// stream is the extra visits and waits that one finding, or all private ones
// together, put beside the main sequence.
type stream struct {
	key     string // finding or TalkAgain
	private bool
	count   basis.Estimate
	waits   []wait
	before  int              // the step that may not come before the extra visits are over; -1 none
	leads   []casefile.Route // what comes first and may not begin before they are over either
	ledger  *basis.Ledger
}

// wait is one interval that a finding asks for.
type wait struct {
	figure *evidence.Figure
	at     string         // which step waits: records, preparation, bonding, recheck
	lead   casefile.Route // what comes first and has to wait itself; empty: the step named by at
	step   int            // its index; -1 none
}

// visitKey is that of its visits, before they are numbered.
func (s *stream) visitKey() string {
	if s.private {
		return TalkAgain
	}
	return "first-" + s.key
}

// streams turns the findings' extra visits and waits into streams, private ones
// joined. Visits that only fit an appliance while the route proceeds are not
// among them: each appliance has its own visit, once.
func streams(m *mouth.Treatment, es []mouth.Effect) []stream {
	var out []stream
	talk := -1
	for i := range es {
		e := &es[i]
		if !slices.ContainsFunc(e.Each, func(x *evidence.Effect) bool { return x.Visits != "" || x.Wait != "" }) {
			continue
		}
		s := newStream(m, e)
		if s.count.High == 0 && len(s.waits) == 0 {
			continue
		}
		if !e.Private {
			out = append(out, s)
			continue
		}
		s.key = TalkAgain
		if talk < 0 {
			talk = len(out)
			out = append(out, s)
			continue
		}
		out[talk].count = out[talk].count.Plus(s.count)
		out[talk].waits = append(out[talk].waits, s.waits...)
		out[talk].leads = append(out[talk].leads, s.leads...)
	}
	return out
}

func newStream(m *mouth.Treatment, e *mouth.Effect) stream {
	l := m.Chart.Basis.Ledger(e.Private)
	s := stream{key: e.Key, private: e.Private, count: e.Visits(l), ledger: l}
	if !s.count.Known() || len(e.Appliances()) > 0 && e.Level.Rank() <= evidence.LevelProceed.Rank() {
		s.count = basis.Exactly(0)
	}
	for _, x := range e.Each {
		lead := holdsUp(m, e, x)
		if lead != "" {
			s.leads = append(s.leads, lead)
		}
		if !lead.First() { // gums heal beside whitening (care-pathway 4.7, CV-32)
			lead = ""
		}
		if f := l.Find(x.Wait); f != nil {
			s.waits = append(s.waits, wait{f, x.WaitAt, lead, -1})
		}
	}
	return s
}

// holdsUp is what comes first in a mouth and has itself to wait until an effect
// of a finding is settled: no tooth is moved while gums or decay are active. Gum
// care waits for nothing. Of several it is the one that begins first; empty when
// there is none.
func holdsUp(m *mouth.Treatment, e *mouth.Effect, x *evidence.Effect) (lead casefile.Route) {
	if x.Level.Rank() < evidence.LevelFirst.Rank() {
		return ""
	}
	for _, p := range m.Parts {
		if !e.On.And(p.On).Any() {
			continue
		}
		r, does := p.Lead, p.Does[e.At].First
		if r == "" { // what only comes first may be all that happens to a tooth
			r, does = p.Route, p.Does[e.At].Stays
		}
		i := slices.Index(leadOrder, r)
		if i < 0 || r == casefile.GumCareFirst || does != x {
			continue
		}
		if lead == "" || i < slices.Index(leadOrder, lead) {
			lead = r
		}
	}
	return lead
}

// aim resolves which steps each wait and the extra visits of a stream delay.
func (s *stream) aim(steps []step) {
	at := ""
	for j := range s.waits {
		x := &s.waits[j]
		if x.step = begins(steps, x.lead); x.step < 0 {
			x.step = target(steps, x.at)
		}
		if j == 0 {
			at = x.at
		}
	}
	s.before = target(steps, at)
	for _, lead := range s.leads {
		if k := begins(steps, lead); k >= 0 && (k < s.before || s.before < 0) {
			s.before = k
		}
	}
}

// atRecheck: the wait is counted from the visit before the recheck, which is what
// it waits for.
const atRecheck = "recheck"

// target is the step that waits for a finding: records unless the finding says
// preparation, bonding or the recheck of what comes first, but never one after the first step that cannot be undone.
// Where the sequence has none of these, it is the first one after the consultation
// that is not gum care, which never waits. -1: there is none.
func target(steps []step, at string) int {
	final := func(s *step) bool { return s.irreversible }
	is := func(s *step) bool { return s.records }
	bonds := func(s *step) bool { return s.bonding }
	switch at {
	case atRecheck:
		if i := first(steps, func(s *step) bool { return s.recheck }); i > 0 {
			return i
		}
	case "bonding":
		is = bonds
	case "preparation":
		is = final
	}
	i := first(steps, is)
	if i < 0 {
		i = first(steps, bonds)
	}
	if k := first(steps, final); k >= 0 && k < i {
		i = k
	}
	for k := 1; i < 0 && k < len(steps); k++ {
		if !steps[k].gums && !steps[k].within {
			i = k
		}
	}
	return i
}

// begins is the first visit of what comes first, after the consultation it shares
// with the rest; -1 when there is none.
func begins(steps []step, lead casefile.Route) int {
	for i := 1; i < len(steps) && lead != ""; i++ {
		if steps[i].lead == lead && !steps[i].within {
			return i
		}
	}
	return -1
}

// first is the index of the first step that is something; -1 when none is.
func first(steps []step, is func(*step) bool) int {
	for i := range steps {
		if is(&steps[i]) {
			return i
		}
	}
	return -1
}

// fit is the visit at which an appliance is handed over.
type fit struct {
	appliance string
	gap       *evidence.Figure
	minutes   basis.Estimate
	ledger    *basis.Ledger
}

// key is that of its visit.
func (f *fit) key() string { return f.appliance + "-fit" }

func fits(s *basis.Basis, appliances []string) []fit {
	var out []fit
	for _, a := range appliances {
		l := s.Ledger(false)
		f := fit{appliance: a, ledger: l}
		f.gap = l.Rule(s.Rule(a+"-fit", "guard-fit-gap"))
		if m := l.Rule(s.Rule(a+"-fit-minutes", "extra-visit-minutes")); m != nil {
			f.minutes = basis.EstimateOf(m)
		}
		out = append(out, f)
	}
	return out
}
