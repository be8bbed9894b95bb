package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// upkeep is the dated checks for the years the data sets, counted from the likely
// end of treatment or the likely fit of an appliance and rolled to opening days.
// Dates are counted from there, not from each other, so that month ends do not
// drift. What is done at a recall visit is put on the day of one.
func (w *work) upkeep(o outcome) []Upkeep {
	recalls := make([]casefile.Date, 0, 40)
	l := w.ledger()
	f := l.ruled("upkeep-years")
	if f == nil {
		return []Upkeep{}
	}
	out := w.room.upkeep[:0]
	end := w.add(o.schedule.last.Likely, f.Value, f.Unit)
	for i := range w.b.Upkeep {
		rule := &w.b.Upkeep[i]
		if !w.upkeepApplies(rule, o) {
			continue
		}
		from := o.schedule.last.Likely
		if fit, ok := o.schedule.fits[rule.Appliance]; ok && rule.From == "fit" {
			from = fit.Likely
		}
		before := len(out)
		out = w.dates(out, rule, o.effects, from, end)
		if rule.Recall {
			for _, u := range out[before:] {
				recalls = append(recalls, u.Date)
			}
		}
	}
	out = atRecalls(out, recalls, o.schedule.last.Likely)
	w.room.upkeep = out
	return sorted(&w.room.order, out, func(u *Upkeep) casefile.Date { return u.Date })
}

// upkeepApplies reports whether a rule stands for this mouth: its routes, and
// its findings or its appliance where it names any.
func (w *work) upkeepApplies(rule *evidence.UpkeepRule, o outcome) bool {
	if !o.mouth.stays(rule.Routes) || len(rule.AgeBands) > 0 && !slices.Contains(rule.AgeBands, w.ageBand()) {
		return false
	}
	if len(rule.Findings) == 0 && rule.Appliance == "" {
		return true
	}
	return rule.Appliance != "" && slices.Contains(o.appliances, rule.Appliance) || w.any(rule.Findings)
}

// stays reports whether what stays in the mouth is one of the routes; a tooth
// left as it is counts only in a mouth where nothing is bonded.
func (m mouth) stays(routes []casefile.Route) bool {
	return len(routes) == 0 || slices.ContainsFunc(m.sites, func(s site) bool {
		return slices.Contains(routes, s.route) && (!m.restored || restores(s.kind))
	})
}

// ageBand is the patient's, adult when the case says none.
func (w *work) ageBand() string {
	if p := w.c.People; p != nil && p.AgeBand != "" {
		return p.AgeBand
	}
	return "adult"
}

// atRecalls puts what is done at a recall visit on the nearest of their days, so
// that nobody comes twice within days; of two that are as near, on the earlier.
// Once is enough for each visit. What falls nearer to the end of treatment than
// to the first recall visit keeps its day and is a visit of its own. The checks of
// one rule stand together, and recalls are in order.
func atRecalls(list []Upkeep, recalls []casefile.Date, end casefile.Date) []Upkeep {
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
func (w *work) dates(out []Upkeep, rule *evidence.UpkeepRule, es []effect, from, end casefile.Date) []Upkeep {
	l := w.ledger()
	first, every := rule.First, rule.Every
	if w.any(rule.Risk) {
		if rule.FirstRisk != "" {
			first = rule.FirstRisk
		}
		if rule.EveryRisk != "" {
			every = rule.EveryRisk
		}
	}
	f1, f2 := l.find(first), l.find(every)
	if f1 == nil {
		return out
	}
	if rule.Recall {
		f1 = w.recall(f1, es, l)
		if f2 != nil {
			f2 = w.recall(f2, es, l)
		}
	}
	for _, id := range rule.Figures {
		l.find(id)
	}
	figures := l.close()
	start, last := w.add(from, f1.Value, f1.Unit), from
	for k := 0; ; k++ {
		d := start
		switch {
		case k > 0 && f1.Unit == f2.Unit:
			d = w.add(from, f1.Value+float64(k)*f2.Value, f2.Unit)
		case k > 0:
			d = w.add(start, float64(k)*f2.Value, f2.Unit)
		}
		if end.Before(d) || k > 0 && !start.Before(d) {
			break
		}
		on := w.open(d)
		if rule.Recall {
			on = w.recallDay(last, d)
		}
		last = on
		out = append(out, Upkeep{Key: rule.Key, Date: on, AtRecall: rule.DuringVisits, Figures: figures})
		if f2 == nil {
			break
		}
	}
	return out
}

// recall is a recall interval in months: the shortest that the rule or any
// finding asks for, within the published bounds for the age (NICE CG19,
// care-pathway 6.5, CV-37). What a private finding asks for counts, unnamed.
func (w *work) recall(rule *evidence.Figure, es []effect, l *ledger) *evidence.Figure {
	if rule.Unit != "months" {
		return rule
	}
	f := *rule
	for i := range es {
		e := &es[i]
		le := l
		if e.private {
			le = &ledger{w: w, private: true}
		}
		for _, x := range e.each {
			if r := le.find(x.Recall); r != nil && r.Unit == "months" {
				f.Value = min(f.Value, r.Value)
			}
		}
	}
	if r := l.ruled(w.longestRecall()); r != nil {
		f.Value = min(f.Value, r.Value)
	}
	if r := l.ruled("recall-min"); r != nil {
		f.Value = max(f.Value, r.Value)
	}
	return &f
}

// longestRecall is the figure of the longest interval for the patient's age.
func (w *work) longestRecall() string {
	if b := w.ageBand(); b == "child" || b == "adolescent" {
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
func (w *work) recallDay(before, d casefile.Date) casefile.Date {
	l := w.ledger()
	least, most := before, d
	if r := l.ruled("recall-min"); r != nil {
		least = w.add(before, r.Value, r.Unit)
		d = later(d, least)
	}
	if r := l.ruled(w.longestRecall()); r != nil {
		most = w.add(before, r.Value, r.Unit)
		if most.Before(d) {
			d = most
		}
	}
	sooner, ok := w.cal.back(d)
	if ok && !sooner.Before(least) {
		return sooner
	}
	if after := w.open(d); !most.Before(after) || !ok || !before.Before(sooner) {
		return after
	}
	return sooner
}
