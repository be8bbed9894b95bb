package plan

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
	"plainleaf/app/plan/outlook"
	"plainleaf/app/plan/schedule"
)

// For computes the plan of a case in a practice. Case and practice have been
// checked; b is indexed. Faults name only what cannot be computed: a practice
// that is never open, or data the case needs and b lacks. With faults the plan is
// not to be used. For is pure: the same arguments give the same plan.
func For(c casefile.Case, p casefile.Practice, b *evidence.Base) (Plan, fault.List) {
	c, lowered := settle(c, p, b)
	s := basis.New(c, p, b)
	for _, x := range []struct {
		path string
		date casefile.Date
	}{{"issued", c.Issued}, {"start", c.Start}} {
		if x.date.IsZero() {
			s.Fault("PLAN-NO-DATE", x.path, "the plan is counted from this date and the case does not have it")
		}
	}
	if len(s.Faults()) > 0 {
		return Plan{}, s.Faults().Sorted()
	}
	cal := schedule.NewCalendar(s)
	cal.Open(c.Start)
	if len(s.Faults()) > 0 { // nothing can be dated
		return Plan{}, s.Faults()
	}
	chart := mouth.NewChart(s)
	o := newOutcome(cal, chart.Chosen(), true)
	out := Plan{Version: Version, Content: b.Version}
	out.Findings = findingEffects(o)
	out.WaitFor, out.OnHold = o.waits, len(o.held) > 0
	out.First = firsts(o)
	out.Visits = notNil(o.schedule.Visits)
	out.Chain = schedule.Chain(out.Visits)
	out.Adds = o.schedule.Adds()
	out.ChairChanges = chairChanges(o)
	out.Resting = resting(o, out.ChairChanges)
	out.Lowered = lowered
	out.Expectations = outlook.For(&o.treatment, o.effects)
	out.Enamel = enamel(o, out.ChairChanges)
	out.Colour = colours(&o.treatment)
	out.Upkeep = o.schedule.Upkeep(o.appliances)
	out.Appliances = o.appliances
	out.Aftercare = aftercare(o)
	out.Warnings = warnings(o)
	out.Risks = risks(o, out.Colour)
	out.Money = money(o)
	out.Routes = routes(o, out.Expectations)
	out.SameSetting = outlook.SameSettings(s)
	out.Order = standings(s, out.Routes)
	out.Deciding = deciding(o)
	out.ToothState = toothStates(s)
	out.InForce = inForce(s, out.ChairChanges)
	out.Open = openPoints(s, &out)
	out.Figures, out.PrivateFigures = s.FigureUses()
	return out, s.Faults().Sorted()
}

// outcome is one treatment worked through: the chosen one, or the same teeth on
// another route.
type outcome struct {
	*basis.Basis
	cal        *schedule.Calendar
	treatment  mouth.Treatment
	effects    []mouth.Effect
	appliances []string
	schedule   schedule.Schedule
	waits      []WaitFor
	held       []string // what has no end that could be dated, and no reason to go on: findings, TalkAgain
}

func newOutcome(cal *schedule.Calendar, m mouth.Treatment, chosen bool) *outcome {
	o := &outcome{Basis: m.Chart.Basis, cal: cal, treatment: m}
	o.effects = o.treatment.Effects()
	o.appliances = o.treatment.Appliances(o.effects)
	o.schedule = schedule.For(cal, &o.treatment, o.effects, o.appliances, chosen)
	o.waits = waitFors(o)
	for _, w := range o.waits {
		if w.Undated && w.Reason == "" && !begun(o.Basis) { // what has begun has its dates
			o.held = append(o.held, w.Key)
		}
	}
	switch held := len(o.held) > 0; {
	case chosen:
		o.schedule.List(held)
	case held:
		o.schedule.Undate()
	}
	return o
}

// deciding gives the dates of thinking time: the day the information is given and the
// first day on which the patient may sign. It counts from the information, the first talk
// or the trial smile, whichever is latest; on hold there is no such day yet.
func deciding(o *outcome) Deciding {
	l := o.Ledger(false)
	d := Deciding{Given: o.Case.Issued, From: o.Case.Issued}
	if d.From.Before(o.schedule.Given) {
		d.From = o.schedule.Given
	}
	if trial := o.schedule.Trial; d.From.Before(trial) && o.Case.Waiver(OpenTrialSmile) == "" {
		d.From = trial
	}
	if f := l.Rule("thinking-time"); f != nil && len(o.held) == 0 {
		d.EarliestSign = o.cal.Add(d.From, f.Value, f.Unit)
	}
	d.Figures = l.IDs()
	return d
}

func notNil[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}
