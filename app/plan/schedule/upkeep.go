package schedule

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// Check is one dated check of the upkeep.
type Check struct {
	Key  string        `json:"key"`
	Date casefile.Date `json:"date"`
	// AtRecall: done at a recall visit, not a visit of its own.
	AtRecall bool `json:"at_recall,omitempty"`
	// IfQuiet: after a year without trouble; after trouble it comes sooner.
	IfQuiet bool     `json:"if_quiet,omitempty"`
	Figures []string `json:"figures"`
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
	if s.Last.Likely.IsZero() {
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
	order.By(out, func(a, b Check) int { return a.Date.Compare(b.Date) })
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
	if rule.Recall {
		return u.recalls(out, rule, from, end, l)
	}
	first, every := rule.First, rule.Every
	if u.m.Chart.Has(rule.Risk) {
		first, every = cmp.Or(rule.FirstRisk, first), cmp.Or(rule.EveryRisk, every)
	}
	f1, f2 := l.Find(first), l.Find(every)
	if f1 == nil {
		return out
	}
	l.FindAll(rule.Figures)
	figures := l.IDs()
	start := u.cal.Add(from, f1.Value, f1.Unit)
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
		out = append(out, Check{Key: rule.Key, Date: u.cal.Open(d), AtRecall: rule.DuringVisits, Figures: figures})
		if f2 == nil {
			break
		}
	}
	return out
}

// recalls adds the recalls of a rule: those after a quiet year are further apart.
func (u *upkeeper) recalls(out []Check, rule *evidence.UpkeepRule, from, end casefile.Date, l *basis.Ledger) []Check {
	months := u.intervals(rule, l)
	l.FindAll(rule.Figures)
	figures := l.IDs()
	last, after := from, 0.0
	for len(months) > 0 {
		year := int(after / 12) // of the months that are over
		interval := months[min(year, len(months)-1)]
		if interval <= 0 {
			return out
		}
		after += interval
		d := u.cal.Add(from, after, "months")
		if end.Before(d) {
			return out
		}
		last = u.recallDay(last, d)
		out = append(out, Check{Key: rule.Key, Date: last, IfQuiet: year > 0, Figures: figures})
	}
	return out
}

// intervals are the months between recalls, by year: in the first the shortest that the
// rule or any finding asks for. What a private finding asks for counts, unnamed.
func (u *upkeeper) intervals(rule *evidence.UpkeepRule, l *basis.Ledger) []float64 {
	years := rule.Years
	if len(rule.YearsRisk) > 0 && u.m.Chart.Has(rule.Risk) {
		years = rule.YearsRisk
	}
	var out []float64
	for i, id := range years {
		f := l.Find(id)
		if f == nil {
			return nil
		}
		v := f.Value
		if i == 0 {
			v = u.asked(v, l)
		}
		out = append(out, u.bounded(v, l))
	}
	return out
}

// bounded keeps an interval in months within the published bounds for the age (NICE CG19,
// care-pathway 6.5, CV-37).
func (u *upkeeper) bounded(months float64, l *basis.Ledger) float64 {
	if r := l.Rule(u.longestRecall()); r != nil {
		months = min(months, r.Value)
	}
	if r := l.Rule("recall-min"); r != nil {
		months = max(months, r.Value)
	}
	return months
}

// asked is the shorter of an interval in months and what any finding asks for.
func (u *upkeeper) asked(months float64, l *basis.Ledger) float64 {
	for i := range u.effects {
		e := &u.effects[i]
		le := l
		if e.Private {
			le = u.basis.Ledger(true)
		}
		for _, x := range e.Each {
			if r := le.Find(x.Recall); r != nil && r.Unit == "months" {
				months = min(months, r.Value)
			}
		}
	}
	return months
}

// Recalls is how many recalls there are within some years of the end of treatment as
// long as all is quiet.
func (s *Schedule) Recalls(years float64) (n int) {
	u := upkeeper{s.treatment.Chart.Basis, s.table.cal, s.treatment, s.effects}
	for i := range u.basis.Evidence.Upkeep {
		rule := &u.basis.Evidence.Upkeep[i]
		if !rule.Recall || !u.applies(rule, nil) {
			continue
		}
		months := u.intervals(rule, u.basis.Ledger(false))
		for after := 0.0; len(months) > 0; {
			interval := months[min(int(after/12), len(months)-1)]
			if after += interval; interval <= 0 || after > 12*years {
				break
			}
			n++
		}
	}
	return n
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
