package plan

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
)

// money is today's estimate of the chosen plan: each route's fee for its teeth,
// the appliances, and single visits the practice charges for. Amounts are minor
// units. Nothing is known while the practice has no fee for a route in the plan
// that does something.
func (w *work) money(o outcome) Money {
	out := w.today(o)
	out.Lines = append(make([]MoneyLine, 0, len(out.Lines)), out.Lines...)
	return out
}

// today is the same with lines that hold until the next call.
func (w *work) today(o outcome) Money {
	l := w.ledger()
	out := Money{Currency: w.p.Currency, Demo: w.p.Demo, Lines: w.room.lines[:0]}
	out.Known = w.routeLines(o.mouth, &out) && len(w.p.Fees) > 0
	for _, a := range o.appliances {
		if f, ok := w.p.Fees[a]; ok {
			out.add(a, 1, f.PerTooth+f.Flat)
		} else {
			out.Missing = append(out.Missing, a)
		}
	}
	w.visitLines(o, &out)
	w.room.lines = out.Lines
	if !out.Known {
		out.Lines, out.Total = nil, 0
		out.Figures = l.list()
		return out
	}
	if f := l.ruled("estimate-valid"); f != nil {
		out.ValidUntil = w.add(w.c.Issued, f.Value, f.Unit)
	}
	out.Figures = l.list()
	return out
}

// visitLines adds what the practice charges for single visits, by the key of the
// visit in the data, beside the routes' fees.
func (w *work) visitLines(o outcome, out *Money) {
	for _, v := range o.schedule.charged {
		f, ok := w.p.Fees[v.key]
		// A key that is also a route's or an appliance's is charged as that.
		if !ok || w.b.Route(casefile.Route(v.key)) != nil || slices.Contains(o.appliances, v.key) {
			continue
		}
		if f.Flat != 0 {
			out.add(v.key, v.visits, f.Flat)
		}
		if f.PerTooth != 0 {
			out.add(v.key, v.teeth, f.PerTooth)
		}
	}
}

// routeLines adds the routes' fees and reports whether every route has one.
func (w *work) routeLines(m mouth, out *Money) bool {
	known := true
	for _, r := range m.routes() {
		if w.kind(r) == kindNone {
			continue
		}
		f, ok := w.p.Fees[string(r)]
		if !ok {
			known = false
			continue
		}
		if f.PerTooth != 0 {
			out.add(string(r), w.on(m, r), f.PerTooth)
		}
		if f.Flat != 0 || f.PerTooth == 0 {
			out.add(string(r), 1, f.Flat)
		}
	}
	return known
}

// on counts the teeth that go through a route.
func (w *work) on(m mouth, r casefile.Route) int {
	if w.entries[0].Tooth == 0 {
		return 0
	}
	return w.through(m, []casefile.Route{r}).count()
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
func (w *work) routeMoney(o outcome, ex []Expectation) RouteMoney {
	all := w.today(o)
	out := RouteMoney{Currency: all.Currency, Known: all.Known, Later: []MoneyLater{}}
	if !all.Known {
		return out
	}
	out.Today = all.Total
	var f casefile.Fee
	for i := range o.mouth.sites {
		s := &o.mouth.sites[i]
		if !restores(s.kind) {
			continue
		}
		if i == 0 || s.way != o.mouth.sites[i-1].way {
			f = w.p.Fees[string(s.route)]
		}
		if f.PerTooth == 0 && f.Flat != 0 { // one sum for all the teeth says nothing about one of them
			out.IfOne, out.IfAll = 0, 0
			return out
		}
		out.IfOne = max(out.IfOne, f.PerTooth)
		out.IfAll += f.PerTooth
	}
	if out.IfAll > 0 {
		out.Later = w.later(ex)
	}
	return out
}

// later is the replacements and their cost at today's fees by each horizon. A
// restoration that is replaced starts anew: with a constant hazard the number of
// replacements of one tooth by year t is a Poisson count with mean -ln S(t), the
// renewal function of the exponential curve (Cox, Renewal Theory, 1962, 2.1).
// Only what was still in place or not counts; within the studies' time only.
func (w *work) later(ex []Expectation) []MoneyLater {
	out := make([]MoneyLater, 0, len(w.years))
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
		if !e.Known {
			if out[i].Replacements.Known() {
				out[i].Replacements = Estimate{Unknown: e.PerTooth.Unknown}
			}
			continue
		}
		n := float64(len(e.Teeth))
		count := Estimate{Low: -n * math.Log(floor(e.PerTooth.High)), Likely: -n * math.Log(floor(e.PerTooth.Likely)), High: -n * math.Log(floor(e.PerTooth.Low))}
		out[i].Replacements = out[i].Replacements.plus(count)
		out[i].Cost = out[i].Cost.plus(count.times(float64(w.p.Fees[string(e.Route)].PerTooth)))
	}
	for i := range out {
		if !out[i].Replacements.Known() {
			out[i].Cost = Estimate{Unknown: out[i].Replacements.Unknown}
			continue
		}
		out[i].Replacements = out[i].Replacements.round()
		c := out[i].Cost
		out[i].Cost = Estimate{Low: math.Round(c.Low), Likely: math.Round(c.Likely), High: math.Round(c.High)}
	}
	return out
}

// floor keeps a chance that was rounded to nothing countable.
func floor(s float64) float64 { return max(s, 1e-4) }
