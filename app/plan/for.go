package plan

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
)

// For computes the plan of a case in a practice. Case and practice have been
// checked; b is indexed. Faults name only what cannot be computed: a practice
// that is never open, or data the case needs and b lacks. With faults the plan is
// not to be used. For is pure: the same arguments give the same plan.
func For(c casefile.Case, p casefile.Practice, b *evidence.Base) (Plan, fault.List) {
	w := newWork(c, p, b)
	defer w.leave()
	for path, d := range map[string]casefile.Date{"issued": c.Issued, "start": c.Start} {
		if d.IsZero() {
			w.fault("PLAN-NO-DATE", path, "the plan is counted from this date and the case does not have it")
		}
	}
	if w.faults.Has("PLAN-NO-DATE") {
		return Plan{}, w.faults.Sorted()
	}
	w.open(c.Start)
	if w.faults.Has("PLAN-NEVER-OPEN") || w.faults.Has("PLAN-TOO-LATE") { // nothing can be dated
		return Plan{}, w.faults
	}
	o := w.outcome(w.chosen(), true)
	out := Plan{Version: Version, Content: b.Version}
	out.Findings = w.findingEffects(o.effects)
	out.WaitFor = w.waitFors(o.effects)
	for _, x := range out.WaitFor {
		out.OnHold = out.OnHold || x.Reason == ""
	}
	out.Visits = notNil(o.schedule.visits)
	out.Chain = chain(out.Visits)
	out.Adds = w.adds(o, out.Visits, out.Chain)
	out.ChairChanges = w.chairChanges(o)
	out.Resting = w.resting(o, out.ChairChanges)
	out.Expectations = w.expectations(o.mouth, o.effects)
	out.Enamel = w.enamel(o.mouth, out.ChairChanges)
	out.Colour = w.colours(o.mouth)
	out.Upkeep = w.upkeep(o)
	out.Appliances = o.appliances
	out.Aftercare = w.aftercare(o)
	out.Warnings = w.warnings(o)
	out.Risks = w.risks(o)
	out.Money = w.money(o)
	out.Routes = w.routes(o, out.Expectations)
	comparable(out.Routes)
	out.SameSetting = w.sameSetting()
	out.Order = w.standings(out.Routes)
	out.Deciding = w.deciding()
	out.ToothState = w.toothStates()
	out.InForce = w.inForce(out.ChairChanges)
	out.Open = w.openPoints(&out)
	out.Figures, out.PrivateFigures = w.figureUses()
	return out, w.faults.Sorted()
}

// deciding gives the dates of thinking time: the day the information is given
// and the first day on which the patient may sign.
func (w *work) deciding() Deciding {
	l := w.ledger()
	d := Deciding{Given: w.c.Issued, EarliestSign: w.c.Issued}
	if f := l.ruled("thinking-time"); f != nil {
		d.EarliestSign = w.add(w.c.Issued, f.Value, f.Unit)
	}
	d.Figures = l.list()
	return d
}
