package plan

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// money is today's estimate of the chosen plan: each route's fee for its teeth,
// the appliances, and single visits the practice charges for. Amounts are minor
// units. Nothing is known while the practice has no fee for a route in the plan
// that does something.
func money(o *outcome) Money {
	l := o.Ledger(false)
	out := Money{Currency: o.Practice.Currency, Demo: o.Practice.Demo, Lines: []MoneyLine{}}
	out.Known = routeLines(o, &out) && len(o.Practice.Fees) > 0
	for _, a := range o.appliances {
		if f, ok := o.Practice.Fees[a]; ok {
			out.add(a, 1, f.PerTooth+f.Flat)
		} else {
			out.Missing = append(out.Missing, a)
		}
	}
	visitLines(o, &out)
	if !out.Known {
		out.Lines, out.Total = []MoneyLine{}, 0
		out.Figures = l.IDs()
		return out
	}
	if f := l.Rule("estimate-valid"); f != nil {
		out.ValidUntil = o.cal.Add(o.Case.Issued, f.Value, f.Unit)
	}
	out.Figures = l.IDs()
	return out
}

// visitLines adds what the practice charges for single visits, by the key of the
// visit in the data, beside the routes' fees.
func visitLines(o *outcome, out *Money) {
	for _, v := range o.schedule.Charged {
		f, ok := o.Practice.Fees[v.Key]
		// A key that is also a route's or an appliance's is charged as that.
		if !ok || o.Evidence.Route(casefile.Route(v.Key)) != nil || slices.Contains(o.appliances, v.Key) {
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

// routeLines adds the routes' fees and reports whether every route has one.
func routeLines(o *outcome, out *Money) bool {
	known := true
	for _, r := range o.treatment.Routes {
		if o.treatment.Chart.Kind(r) == mouth.KindNone {
			continue
		}
		f, ok := o.Practice.Fees[string(r)]
		if !ok {
			known = false
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

// routeMoney is one route's estimate today, what one replacement of one, or of
// all, of its restorations costs at today's fees, and what replacements may cost
// over the years of its expectations. None of these is told where the practice has
// only one sum for a route, whatever the number of teeth. Whitening and what only comes first leave
// nothing to replace.
func routeMoney(o *outcome, ex []Expectation) RouteMoney {
	all := money(o)
	out := RouteMoney{Currency: all.Currency, Known: all.Known, Later: []MoneyLater{}}
	if !all.Known {
		return out
	}
	out.Today = all.Total
	for i := range o.treatment.Sites {
		s := &o.treatment.Sites[i]
		if !mouth.Restores(s.Kind) {
			continue
		}
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
