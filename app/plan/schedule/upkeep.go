package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// Check is one dated check of the upkeep.
type Check struct {
	Key  string        `json:"key"`
	Date casefile.Date `json:"date"`
	// AtRecall: done at a recall visit, not a visit of its own.
	AtRecall bool     `json:"at_recall,omitempty"`
	Figures  []string `json:"figures"`
}

// upkeeper dates the checks of one treatment.
type upkeeper struct {
	basis   *basis.Basis
	cal     *Calendar
	m       *mouth.Treatment
	effects []mouth.Effect
}

// Upkeep lists the dated checks for the years the data sets, counted from the likely
// end of treatment or the likely fit of an appliance and rolled to opening days.
// Dates are counted from there, not from each other, so that month ends do not
// drift. What is done at a recall visit is put on the day of one.
func (s *Schedule) Upkeep(appliances []string) []Check {
	u := upkeeper{s.treatment.Chart.Basis, s.table.cal, s.treatment, s.effects}
	f := u.basis.Ledger(false).Rule("upkeep-years")
	if f == nil {
		return []Check{}
	}
	out, recalls := make([]Check, 0, 100), []casefile.Date{}
	end := u.cal.Add(s.Last.Likely, f.Value, f.Unit)
	for i := range u.basis.Evidence.Upkeep {
		rule := &u.basis.Evidence.Upkeep[i]
		if !u.applies(rule, appliances) {
			continue
		}
		from := s.Last.Likely
		if fit, ok := s.Fits[rule.Appliance]; ok && rule.From == "fit" {
			from = fit.Likely
		}
		before := len(out)
		out = u.dates(out, rule, from, end)
		if rule.Recall {
			for _, c := range out[before:] {
				recalls = append(recalls, c.Date)
			}
		}
	}
	out = atRecalls(out, recalls, s.Last.Likely)
	slices.SortStableFunc(out, func(a, b Check) int { return a.Date.Compare(b.Date) })
	return out
}

// applies reports whether a rule is for this mouth: its routes, and its findings or
// its appliance where it names any.
func (u *upkeeper) applies(rule *evidence.UpkeepRule, appliances []string) bool {
	if !u.m.Stays(rule.Routes) || len(rule.AgeBands) > 0 && !slices.Contains(rule.AgeBands, u.basis.AgeBand()) {
		return false
	}
	if len(rule.Findings) == 0 && rule.Appliance == "" {
		return true
	}
	return rule.Appliance != "" && slices.Contains(appliances, rule.Appliance) || u.m.Chart.Has(rule.Findings)
}

// atRecalls puts what is done at a recall visit on the nearest of their days, so
// that nobody comes twice within days; of two that are as near, on the earlier.
// Once is enough for each visit. What falls nearer to the end of treatment than
// to the first recall visit keeps its day and is a visit of its own. The checks of
// one rule are together, and recalls are in order.
func atRecalls(list []Check, recalls []casefile.Date, end casefile.Date) []Check {
	if len(recalls) == 0 {
		return list
	}
	out := list[:0]
	for _, u := range list {
		if u.AtRecall {
			i, _ := slices.BinarySearchFunc(recalls, u.Date, casefile.Date.Compare)
			before, after := end, recalls[min(i, len(recalls)-1)]
			if i > 0 {
				before = recalls[i-1]
			}
			switch sooner := before.DaysUntil(u.Date) <= u.Date.DaysUntil(after) || i == len(recalls); {
			case sooner && i == 0:
				u.AtRecall = false
			case sooner:
				u.Date = before
			default:
				u.Date = after
			}
			if n := len(out); u.AtRecall && n > 0 && out[n-1].Key == u.Key && out[n-1].Date == u.Date {
				continue
			}
		}
		out = append(out, u)
	}
	return out
}

// dates adds those of one rule.
func (u *upkeeper) dates(out []Check, rule *evidence.UpkeepRule, from, end casefile.Date) []Check {
	l := u.basis.Ledger(false)
	first, every := rule.First, rule.Every
	if u.m.Chart.Has(rule.Risk) {
		if rule.FirstRisk != "" {
			first = rule.FirstRisk
		}
		if rule.EveryRisk != "" {
			every = rule.EveryRisk
		}
	}
	f1, f2 := l.Find(first), l.Find(every)
	if f1 == nil {
		return out
	}
	if rule.Recall {
		f1 = u.recall(f1, l)
		if f2 != nil {
			f2 = u.recall(f2, l)
		}
	}
	l.FindAll(rule.Figures)
	figures := l.IDs()
	start, last := u.cal.Add(from, f1.Value, f1.Unit), from
	for k := 0; ; k++ {
		d := start
		switch {
		case k > 0 && f1.Unit == f2.Unit:
			d = u.cal.Add(from, f1.Value+float64(k)*f2.Value, f2.Unit)
		case k > 0:
			d = u.cal.Add(start, float64(k)*f2.Value, f2.Unit)
		}
		if end.Before(d) || k > 0 && !start.Before(d) {
			break
		}
		on := u.cal.Open(d)
		if rule.Recall {
			on = u.recallDay(last, d)
		}
		last = on
		out = append(out, Check{Key: rule.Key, Date: on, AtRecall: rule.DuringVisits, Figures: figures})
		if f2 == nil {
			break
		}
	}
	return out
}

// recall is a recall interval in months: the shortest that the rule or any
// finding asks for, within the published bounds for the age (NICE CG19,
// care-pathway 6.5, CV-37). What a private finding asks for counts, unnamed.
func (u *upkeeper) recall(rule *evidence.Figure, l *basis.Ledger) *evidence.Figure {
	if rule.Unit != "months" {
		return rule
	}
	f := *rule
	for i := range u.effects {
		e := &u.effects[i]
		le := l
		if e.Private {
			le = u.basis.Ledger(true)
		}
		for _, x := range e.Each {
			if r := le.Find(x.Recall); r != nil && r.Unit == "months" {
				f.Value = min(f.Value, r.Value)
			}
		}
	}
	if r := l.Rule(u.longestRecall()); r != nil {
		f.Value = min(f.Value, r.Value)
	}
	if r := l.Rule("recall-min"); r != nil {
		f.Value = max(f.Value, r.Value)
	}
	return &f
}

// longestRecall is the figure of the longest interval for the patient's age.
func (u *upkeeper) longestRecall() string {
	if b := u.basis.AgeBand(); b == "child" || b == "adolescent" {
		return "recall-max-under-18"
	}
	return "recall-max-adult"
}

// recallDay is the opening day for a recall that is due on d: within the published
// bounds after the one before it wherever the practice's days leave such a day, and of
// those the last on or before d, else the first after it. Days that give way to a
// closure go to its earlier side, so that nobody is seen later than was meant; only
// where the interval is the shortest there is do they go to the later. Past the longest
// interval a recall comes sooner than the bound rather than later.
func (u *upkeeper) recallDay(before, d casefile.Date) casefile.Date {
	l := u.basis.Ledger(false)
	least, most := before, d
	if r := l.Rule("recall-min"); r != nil {
		least = u.cal.Add(before, r.Value, r.Unit)
		d = later(d, least)
	}
	if r := l.Rule(u.longestRecall()); r != nil {
		most = u.cal.Add(before, r.Value, r.Unit)
		if most.Before(d) {
			d = most
		}
	}
	sooner, ok := u.cal.back(d)
	if ok && !sooner.Before(least) {
		return sooner
	}
	if after := u.cal.Open(d); !most.Before(after) || !ok || !before.Before(sooner) {
		return after
	}
	return sooner
}
