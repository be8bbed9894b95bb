package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// stream is the visits of one care that comes first, beside the main sequence.
type stream struct {
	mouth.Care
	rows   []row
	until  *evidence.Figure
	after  []int  // streams that it follows, by index
	holds  []hold // main steps that wait for it
	ledger *basis.Ledger
}

// row is one visit of a care, or one run of like visits.
type row struct {
	step
	exact     *evidence.Figure // its day counted from the first; nil: its gap counts
	elsewhere bool
	recheck   bool
}

// hold is a main step that waits for a stream.
type hold struct {
	step int
	// treated: only until the treatment itself is over, not what shows whether it worked.
	treated bool
}

// streams gives the visits of the care that comes first, in the order of the data.
func streams(m *mouth.Treatment, es []mouth.Effect, steps []step) []stream {
	var out []stream
	for _, c := range m.Cares(es) {
		b := m.Chart.Basis
		s := stream{Care: c, ledger: b.Ledger(false)}
		over := settled(m, &c)
		for i := range c.Rule.Visits {
			v := &c.Rule.Visits[i]
			if over && !b.Case.VisitDay(v.Key).Exists() && !b.Case.VisitDay(v.Key+"-1").Exists() {
				continue // nothing more is done, and nobody noted that it was
			}
			r := row{step: plainStep(b, v), elsewhere: v.Elsewhere, recheck: v.Recheck}
			r.total(m.Chart)
			r.exact = r.ledger.Find(v.AfterFirst)
			s.ledger.Join(r.ledger)
			s.rows = append(s.rows, r)
		}
		s.until = s.ledger.Find(c.Rule.Until)
		s.ledger.FindAll(c.Rule.Figures)
		for j := range out {
			if slices.Contains(c.Rule.After, out[j].Rule.Key) {
				s.after = append(s.after, j)
			}
		}
		s.aim(steps)
		out = append(out, s)
	}
	return out
}

// settled reports whether all that asks for a care is.
func settled(m *mouth.Treatment, c *mouth.Care) bool {
	return len(c.Findings) > 0 && !slices.ContainsFunc(c.Findings, func(key string) bool {
		return !m.Chart.Basis.Case.Settled(key, m.Chart.Finding(key).Teeth)
	})
}

// dated reports whether anything is known of when the care takes place.
func (s *stream) dated() bool { return len(s.Rule.Visits) > 0 || s.Rule.Kind == evidence.CareTalk }

// aim finds the steps that wait for a stream: the trial smile and whatever comes first
// that waits too. Whitening waits only until the gums or the decay are treated: they heal
// beside it (care-pathway 4.7, CV-32).
func (s *stream) aim(steps []step) {
	at := waits(steps)
	if at < 0 {
		return
	}
	s.holds = append(s.holds, hold{at, steps[at].whitening})
	for _, lead := range s.Leads {
		if k := begins(steps, lead); k >= 0 && k != at {
			s.holds = append(s.holds, hold{k, steps[k].whitening})
		}
	}
}

// waits is the first step that waits for all that comes first: the trial smile, or where
// there is none the first that is signed for, glued or cannot be undone, or else the first
// after the consultation; -1 when there is none.
func waits(steps []step) int {
	if i := first(steps, func(s *step) bool { return s.trial }); i >= 0 {
		return i
	}
	if i := first(steps, func(s *step) bool { return s.signs || s.bonding || s.irreversible }); i >= 0 {
		return i
	}
	for k := 1; k < len(steps); k++ {
		if !steps[k].within {
			return k
		}
	}
	return -1
}

// begins is the first visit of what comes first, after the consultation it shares
// with the rest; -1 when there is none.
func begins(steps []step, lead casefile.Route) int {
	for i := 1; i < len(steps); i++ {
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
	gap       *evidence.Figure // from the last gluing, or the last visit where nothing is glued
	longest   *evidence.Figure // after a gluing nobody goes without it longer, days; nil: no such limit
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
		if a == nightGuard {
			f.longest = l.Rule("guard-longest")
		}
		out = append(out, f)
	}
	return out
}

// nightGuard is the appliance that people who grind need from the day of gluing on.
const nightGuard = "night-guard"
