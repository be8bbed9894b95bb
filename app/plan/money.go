package plan

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
	"plainleaf/app/plan/schedule"
)

// money is today's estimate of a whole plan: what comes first, each route's fee for its
// teeth, temporary covers, appliances with what is worn until then, and single visits the
// practice charges for. Amounts are minor units. What has no fee is named. Nothing is known
// while the practice has no fee for a route in the plan that does something.
func money(o *outcome) Money {
	l := o.Ledger(false)
	out := Money{Currency: o.Practice.Currency, Demo: o.Practice.Demo, Lines: []MoneyLine{}}
	careLines(o, &out)
	out.Known = routeLines(o, &out) && len(o.Practice.Fees) > 0
	if on := covered(o); on > 0 {
		out.item(o, evidence.Temporaries, on)
	}
	for _, a := range o.appliances {
		out.item(o, a, 1)
	}
	if o.schedule.StopGaps > 0 {
		out.item(o, evidence.GuardStopGap, 1)
	}
	visitLines(o, &out)
	if f, ok := checkUp(o); ok {
		out.CheckUp = &f
	}
	if !out.Known {
		out.Lines, out.Total, out.May, out.Included = []MoneyLine{}, 0, nil, nil
		out.Figures = l.IDs()
		return out
	}
	if f := l.Rule("estimate-valid"); f != nil {
		out.ValidUntil = o.cal.Add(o.Case.Issued, f.Value, f.Unit)
		last := o.schedule.Last.Likely
		out.ToLastVisit = !last.IsZero() && !out.ValidUntil.Before(last)
	}
	out.Figures = l.IDs()
	return out
}

// item adds one part of the plan by its fee, for some teeth; a fee of nothing is included,
// and without a fee it is missing.
func (m *Money) item(o *outcome, key string, teeth int) {
	f, ok := o.Practice.Fees[key]
	switch {
	case !ok:
		m.Missing = append(m.Missing, key)
		return
	case f == casefile.Fee{}:
		m.Included = append(m.Included, key)
		return
	}
	if f.PerTooth != 0 {
		m.add(key, max(1, teeth), f.PerTooth)
	}
	if f.Flat != 0 {
		m.add(key, 1, f.Flat)
	}
}

// feeFor is a fee for some teeth, none being the whole mouth.
func feeFor(f casefile.Fee, teeth int) int64 { return f.Flat + int64(max(1, teeth))*f.PerTooth }

// careLines adds what comes first, and names what may have to follow it.
func careLines(o *outcome, out *Money) {
	for i := range o.schedule.Cares {
		c := &o.schedule.Cares[i]
		if _, priced := o.Practice.Fees[c.Rule.Key]; priced || c.Rule.Kind != evidence.CareTalk {
			out.item(o, c.Rule.Key, len(c.Teeth(o.treatment.Chart)))
		}
		for _, key := range c.Rule.May {
			planned := slices.ContainsFunc(o.schedule.Cares, func(x schedule.Care) bool { return x.Rule.Key == key })
			if planned || slices.ContainsFunc(out.May, func(x MoneyMay) bool { return x.Key == key }) {
				continue
			}
			may := MoneyMay{Key: key}
			if f, ok := o.Practice.Fees[key]; ok {
				amount := feeFor(f, 1)
				may.Amount = &amount
			}
			out.May = append(out.May, may)
		}
	}
}

// covered is on how many teeth there are temporary covers.
func covered(o *outcome) (n int) {
	for _, s := range o.treatment.Sites {
		if r := o.Evidence.Route(s.Route); r != nil && r.Temporaries == "yes" {
			n++
		}
	}
	return n
}

// visitLines adds what the practice charges for single visits, by the key of the
// visit in the data, beside the routes' fees.
func visitLines(o *outcome, out *Money) {
	for _, v := range o.schedule.Charged {
		f, ok := o.Practice.Fees[v.Key]
		// A key that is also a route's, a care's or an appliance's is charged as that.
		if !ok || o.Evidence.Route(casefile.Route(v.Key)) != nil || o.Evidence.Care(v.Key) != nil || slices.Contains(o.appliances, v.Key) {
			continue
		}
		if f.Flat != 0 {
			out.add(v.Key, v.Visits, f.Flat)
		}
		if f.PerTooth != 0 {
			out.add(v.Key, v.Teeth, f.PerTooth)
		}
	}
}

// routeLines adds the routes' fees and reports whether every route has one. A route that
// consists of care that comes first needs none of its own.
func routeLines(o *outcome, out *Money) bool {
	known := true
	for _, r := range o.treatment.Routes {
		rule := o.Evidence.Route(r)
		if rule == nil || rule.Kind == mouth.KindNone {
			continue
		}
		f, ok := o.Practice.Fees[string(r)]
		if !ok {
			known = known && len(rule.First) > 0
			continue
		}
		if f.PerTooth != 0 {
			out.add(string(r), len(o.treatment.Chart.Teeth(o.treatment.Through([]casefile.Route{r}))), f.PerTooth)
		}
		if f.Flat != 0 || f.PerTooth == 0 {
			out.add(string(r), 1, f.Flat)
		}
	}
	return known
}

func (m *Money) add(key string, n int, each int64) {
	m.Lines = append(m.Lines, MoneyLine{Key: key, Count: n, Each: each, Amount: int64(n) * each})
	m.Total += int64(n) * each
}

// checkUp is the fee of one check-up, by the key of the recall that applies.
func checkUp(o *outcome) (int64, bool) {
	for i := range o.Evidence.Upkeep {
		rule := &o.Evidence.Upkeep[i]
		if f, ok := o.Practice.Fees[rule.Key]; ok && rule.Recall && o.treatment.Stays(rule.Routes) {
			return f.Flat + f.PerTooth, true
		}
	}
	return 0, false
}

// routeMoney is one route's estimate today, what one replacement of one, or of
// all, of its restorations costs at today's fees, and what replacements may cost
// over the years of its expectations. None of these is told where the practice has
// only one sum for a route, whatever the number of teeth. Whitening and what only comes first leave
// nothing to replace.
func routeMoney(o *outcome, ex []Expectation) RouteMoney {
	all := money(o)
	out := RouteMoney{Currency: all.Currency, Known: all.Known, Missing: all.Missing, Later: []MoneyLater{}, Over: MoneyOver{Cost: basis.Unknown(NoFee)}}
	if !all.Known {
		return out
	}
	out.Today = all.Total
	restores := false
	for i := range o.treatment.Sites {
		s := &o.treatment.Sites[i]
		if !mouth.Restores(s.Kind) {
			continue
		}
		restores = true
		f := o.Practice.Fees[string(s.Route)]
		if f.PerTooth == 0 && f.Flat != 0 { // one sum for all the teeth says nothing about one of them
			out.IfOne, out.IfAll = 0, 0
			return out
		}
		out.IfOne = max(out.IfOne, f.PerTooth)
		out.IfAll += f.PerTooth
	}
	if out.IfAll > 0 {
		out.Later = later(o.Practice.Fees, ex)
	}
	out.Over = over(o, &all, out.Later, restores)
	return out
}

// over is the whole cost within the middle horizon: today, check-ups as long as all is
// quiet, new guards, and the replacements that are likely. It is unknown where a part of
// it has no fee or nobody knows how often something is replaced.
func over(o *outcome, m *Money, later []MoneyLater, restores bool) MoneyOver {
	h := o.Ledger(false).Rule("horizon-2")
	if h == nil {
		return MoneyOver{Cost: basis.Unknown(NoFigure)}
	}
	out := MoneyOver{Years: basis.Up(h.Value), Cost: basis.Unknown(NoFee)}
	recalls := o.schedule.Recalls(h.Value)
	if len(m.Missing) > 0 || recalls > 0 && m.CheckUp == nil {
		return out
	}
	sum := float64(m.Total)
	if m.CheckUp != nil {
		sum += float64(recalls) * float64(*m.CheckUp)
	}
	for i := range o.Evidence.Upkeep {
		rule := &o.Evidence.Upkeep[i]
		if !rule.Renews || !slices.Contains(o.appliances, rule.Appliance) {
			continue
		}
		life := o.Ledger(false).Find(rule.First)
		if life == nil || life.Unit != "years" || life.Value <= 0 {
			return MoneyOver{Years: out.Years, Cost: basis.Unknown(NoFigure)}
		}
		sum += math.Floor(h.Value/life.Value) * float64(feeFor(o.Practice.Fees[rule.Appliance], 0))
	}
	out.Cost = basis.Exactly(sum)
	if !restores {
		if slices.ContainsFunc(o.treatment.Routes, func(r casefile.Route) bool { return o.treatment.Chart.Kind(r) == mouth.KindWhitening }) {
			out.Cost = basis.Unknown(NoFigure) // nobody knows how often it is done again
		}
		return out
	}
	i := slices.IndexFunc(later, func(x MoneyLater) bool { return x.Years == out.Years })
	if i < 0 {
		out.Cost = basis.Unknown(NoFigure)
		return out
	}
	out.Cost = out.Cost.Plus(later[i].Cost)
	return out
}

// later is the replacements and their cost at today's fees by each horizon. Only what
// was still in place or not counts; within the studies' time only.
func later(fees map[string]casefile.Fee, ex []Expectation) []MoneyLater {
	out := []MoneyLater{}
	for k := range ex {
		e := &ex[k]
		if e.Endpoint != InPlace || e.Route == "" {
			continue
		}
		i := slices.IndexFunc(out, func(x MoneyLater) bool { return x.Years == e.Years })
		if i < 0 {
			out = append(out, MoneyLater{Years: e.Years})
			i = len(out) - 1
		}
		n := e.Replaced()
		out[i].Replacements = out[i].Replacements.Plus(n)
		out[i].Cost = out[i].Cost.Plus(n.Times(float64(fees[string(e.Route)].PerTooth)))
	}
	for i := range out {
		c := out[i].Cost
		out[i].Replacements = out[i].Replacements.Round()
		if c.Known() {
			out[i].Cost = basis.Estimate{Low: math.Round(c.Low), Likely: math.Round(c.Likely), High: math.Round(c.High)}
		}
	}
	return out
}
