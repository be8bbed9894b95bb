package talk

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// visits puts the visits of the chosen plan on a line, those of one kind together.
func (x composer) visits() Page {
	n := len(x.pl.Visits)
	p := Page{Key: Visits, Title: sheet.N("talk.visits.title-held", n)}
	last := x.pl.Visits[n-1]
	if !x.pl.OnHold && !last.Likely.IsZero() {
		p.Title = sheet.N("talk.visits.title", n, "Date", sheet.Month{Date: last.Likely})
		if late := last.Latest; late.Year != last.Likely.Year || late.Month != last.Likely.Month {
			p.Lead = append(p.Lead, sheet.M("talk.visits.latest", "Date", sheet.Month{Date: late}))
		}
	}
	if x.pl.OnHold {
		p.Lead = append(p.Lead, sheet.M("sheet.schedule.hold"))
	}
	if m := x.chosen().Minutes; m.Known() && m.Likely > 0 {
		p.Lead = append(p.Lead, sheet.N("talk.visits.hours", max(1, int(math.Round(m.Likely/60)))))
	}
	if x.made() && slices.ContainsFunc(x.pl.Visits, func(v plan.Visit) bool { return v.Signs }) {
		p.Lead = append(p.Lead, sheet.M("sheet.consent.laboratory"))
	}
	before := ""
	for i, v := range x.pl.Visits {
		kind, name := x.kind(v)
		if kind == before {
			p.Line[len(p.Line)-1].Last = i + 1
			continue
		}
		s := Stop{Name: name, First: i + 1, Last: i + 1}
		if !x.pl.OnHold || v.Agreed {
			s.Month = v.Likely
		}
		if v.Why == plan.WhyWhitening {
			s.After = sheet.M("talk.visits.settles")
		}
		p.Line, before = append(p.Line, s), kind
	}
	return p
}

// made reports whether a laboratory makes something for the plan.
func (x composer) made() bool {
	return slices.ContainsFunc(append(x.c.Groups(), casefile.Group{Route: x.c.Then}), func(g casefile.Group) bool {
		rule := x.b.Route(g.Route)
		return rule != nil && slices.Contains([]string{"ceramic", "crown", "replace"}, rule.Kind)
	})
}

// kind is what visits in a row share, and its name: one care that comes first, one step of
// the treatment.
func (x composer) kind(v plan.Visit) (string, sheet.Text) {
	switch {
	case v.Care != "" && casefile.Route(v.Care).Whitens():
		return v.Care, sheet.M("route." + v.Care + ".name")
	case v.Care != "":
		return v.Care, sheet.M("care." + v.Care + ".name")
	case v.Lead != "":
		return string(v.Lead), sheet.M("route." + string(v.Lead) + ".name")
	}
	return v.Purpose, sheet.M(sheet.VisitName(x.b, v.Purpose, "name"))
}
